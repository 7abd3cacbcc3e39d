//! What a reading costs: the changeover from the present state of house and instruments, and the
//! reading itself.

use super::Reads;
use crate::house::{House, Place, Setup, start};
use serde::Serialize;

/// Minutes of work. The defaults are common practice, no source; `[minutes]` in `job.toml` replaces
/// them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Minutes {
    /// One reading of a gauge that is in place, averaging included.
    pub reading_min: f64,
    /// A tube to another zone.
    pub tube_min: f64,
    /// The test fan into a door.
    pub fan_in_min: f64,
    /// The test fan out of its door, the door as usual again.
    pub fan_out_min: f64,
    /// Opening or shutting a door.
    pub door_min: f64,
    /// A ladder to a hatch and back.
    pub hatch_min: f64,
    /// A switch: an exhaust fan or the air handler on or off, and waiting until it runs evenly.
    pub switch_min: f64,
    /// A hood to another fan or register.
    pub hood_min: f64,
    /// A flow plate into the filter slot.
    pub plate_min: f64,
    /// A duct tester onto the ducts, every register of them masked.
    pub duct_tester_min: f64,
    /// A barrier at the air handler between supply and return, or its way to the other side.
    pub barrier_min: f64,
    /// A pan over one register, and its reading.
    pub pan_min: f64,
    /// Masking an opening, or freeing it.
    pub mask_min: f64,
    /// Setting a hole to a known size, and measuring it.
    pub hole_min: f64,
    /// Waiting until a flue is cold after a burner ran.
    pub flue_min: f64,
}

impl Default for Minutes {
    fn default() -> Minutes {
        Minutes {
            reading_min: 2.0,
            tube_min: 3.0,
            fan_in_min: 12.0,
            fan_out_min: 6.0,
            door_min: 1.0,
            hatch_min: 4.0,
            switch_min: 1.0,
            hood_min: 3.0,
            plate_min: 10.0,
            duct_tester_min: 25.0,
            barrier_min: 10.0,
            pan_min: 1.0,
            mask_min: 4.0,
            hole_min: 4.0,
            flue_min: 10.0,
        }
    }
}

impl Minutes {
    /// The defaults with what the user wrote, s.
    pub fn of(written_s: &[(&'static str, f64)]) -> Minutes {
        let mut all = Minutes::default();
        for (key, place) in all.named() {
            if let Some((_, s)) = written_s.iter().find(|w| w.0 == key) {
                *place = s / 60.0;
            }
        }
        all
    }

    /// The keys of `[minutes]` with the place of each.
    pub fn named(&mut self) -> [(&'static str, &mut f64); 15] {
        [
            ("reading", &mut self.reading_min),
            ("tube", &mut self.tube_min),
            ("fan_in", &mut self.fan_in_min),
            ("fan_out", &mut self.fan_out_min),
            ("door", &mut self.door_min),
            ("hatch", &mut self.hatch_min),
            ("switch", &mut self.switch_min),
            ("hood", &mut self.hood_min),
            ("plate", &mut self.plate_min),
            ("duct_tester", &mut self.duct_tester_min),
            ("barrier", &mut self.barrier_min),
            ("pan", &mut self.pan_min),
            ("mask", &mut self.mask_min),
            ("hole", &mut self.hole_min),
            ("flue", &mut self.flue_min),
        ]
    }
}

/// How house and instruments stand between two readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    /// State of the house.
    pub setup: Setup,
    /// The test fan stands in its door.
    pub fan_in_door: bool,
    /// Where the tubes lie: the zone felt and the one it is compared with.
    pub tube: Option<(usize, Option<usize>)>,
    /// Where the hood is.
    pub hood: Option<Reads>,
    /// The flow plate is in the filter slot.
    pub plate: bool,
    /// The side that the duct tester stands at, supply or not.
    pub ducts: Option<bool>,
    /// A flue is still warm from its burner.
    pub flue_warm: bool,
}

impl Stand {
    /// Everything as usual, instruments in the car.
    pub fn usual(house: &House) -> Stand {
        Stand::of(start(house))
    }

    /// The house in a setup; the test fan stands in its door where it runs.
    pub fn of(setup: Setup) -> Stand {
        Stand {
            fan_in_door: setup.test_fan.is_some(),
            flue_warm: setup.hot.iter().any(|hot| *hot),
            setup,
            tube: None,
            hood: None,
            plate: false,
            ducts: None,
        }
    }

    /// Minutes to bring everything from here to where a reading can be taken, without the reading;
    /// `draws_down` where its setup can pull air down a flue.
    pub fn changeover_min(
        &self,
        house: &House,
        setup: &Setup,
        reads: &Reads,
        draws_down: bool,
        m: &Minutes,
    ) -> f64 {
        let mut sum = 0.0;
        match (self.fan_in_door, setup.test_fan.is_some()) {
            (false, true) => sum += m.fan_in_min,
            (true, false) => sum += m.fan_out_min,
            _ => {}
        }
        if draws_down && self.flue_warm {
            sum += m.flue_min;
        }
        for (d, door) in house.doors.iter().enumerate() {
            let holes = (self.setup.hole[d], setup.hole[d]);
            if self.setup.open[d] != setup.open[d] || self.setup.unnoted[d] || holes.0 != holes.1 {
                if holes.1.is_some() {
                    sum += m.hole_min;
                }
                sum += if by_ladder(door) { m.hatch_min } else { m.door_min };
            }
        }
        let masked = self.setup.sealed.iter().zip(&setup.sealed).filter(|(a, b)| a != b).count();
        sum += m.mask_min * masked as f64;
        let fans = self.setup.running.iter().zip(&setup.running).filter(|(a, b)| a != b).count();
        let handler = usize::from(self.setup.air_handler != setup.air_handler);
        sum += m.switch_min * (fans + handler) as f64;
        match reads {
            Reads::Tap { feels, compared_with } if self.tube != Some((*feels, *compared_with)) => {
                sum += m.tube_min;
            }
            Reads::Exhaust { .. } | Reads::Register { .. } if self.hood.as_ref() != Some(reads) => {
                sum += m.hood_min;
            }
            Reads::Handler if !self.plate => sum += m.plate_min,
            Reads::Ducts { supply } if self.ducts != Some(*supply) => {
                sum += m.barrier_min + if self.ducts.is_none() { m.duct_tester_min } else { 0.0 };
            }
            Reads::Pans { supply } => {
                let side = house.air_handler.iter().flat_map(|h| &h.registers).filter(|r| r.1 == *supply);
                sum += m.pan_min * side.count() as f64;
            }
            _ => {}
        }
        sum
    }

    /// How it stands after the reading.
    #[must_use]
    pub fn after(&self, setup: &Setup, reads: &Reads, draws_down: bool) -> Stand {
        let mut next = self.clone();
        next.setup = setup.clone();
        next.fan_in_door = setup.test_fan.is_some();
        next.flue_warm &= !draws_down;
        match reads {
            Reads::Tap { feels, compared_with } => next.tube = Some((*feels, *compared_with)),
            Reads::Exhaust { .. } | Reads::Register { .. } => next.hood = Some(reads.clone()),
            Reads::Handler => next.plate = true,
            Reads::Ducts { supply } => next.ducts = Some(*supply),
            Reads::FanFlow | Reads::Pans { .. } => {}
        }
        next
    }
}

/// Whether one climbs to it: a hatch between storeys, or low on a wall.
fn by_ladder(door: &crate::house::Door) -> bool {
    door.horizontal || door.bottom_m < 0.5 && door.between.iter().any(|p| matches!(p, Place::Outdoors(_)))
}
