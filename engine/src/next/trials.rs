//! Every reading that the house has: setups, what each shows, which instrument takes it, whether it
//! draws air down.

use super::expect::instrument_of;
use super::moment::Instrument;
use super::{Reads, moment::Moment};
use crate::doc::visit::Direction;
use crate::house::air::STATED_AT_PA;
use crate::house::{Exponent, HOLE_LN_SD, Hole, House, Place, Setup, start};

/// The low pressure at which the test fan is read too, Pa. Common practice, no source.
const LOW_PA: f64 = 15.0;
/// Areas of a hole that is made on purpose, m2: what a few hundred m3/h pass at 50 Pa, and three times as
/// much. Common practice, no source.
const HOLES_M2: [f64; 2] = [0.02, 0.06];
/// A hole is at most this share of its door: beyond, the door is as good as open.
const MOST_OF_DOOR: f64 = 0.5;
/// The pressure at which ducts are tested, Pa (the usual statement of their leakage, at 25 Pa).
const DUCT_TEST_PA: f64 = 25.0;

/// One number that a setup shows.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    pub(super) setup: usize,
    /// What is read; [`Reads::FanFlow`] for the test fan's flow beside a tap.
    pub(super) reads: Reads,
}

/// One reading.
#[derive(Clone, Debug)]
pub(super) struct Trial {
    pub(super) reads: Reads,
    pub(super) setup: usize,
    /// Its own number first.
    pub(super) columns: Vec<usize>,
    pub(super) toggled: Option<usize>,
    pub(super) draws_down: bool,
    /// An instrument that it needs and that is not at hand.
    pub(super) missing: Option<Instrument>,
}

/// All readings over their setups.
#[derive(Clone, Debug, Default)]
pub(super) struct Board {
    pub(super) setups: Vec<Setup>,
    /// For each setup the pressure below outdoors at which the test fan holds the rooms, Pa; read only
    /// where it runs.
    pub(super) fan_pa: Vec<f64>,
    pub(super) columns: Vec<Column>,
    pub(super) trials: Vec<Trial>,
}

/// Whether a setup may draw rooms down: a test fan, an exhaust, or an air handler with a door shut
/// between its supply and its return.
pub fn draws_down(house: &House, setup: &Setup) -> bool {
    let indoors = |p: &Place| matches!(p, Place::Zone(z) if house.zones[*z].kind.is_indoors());
    let exhaust = house.fans.iter().zip(&setup.running).any(|(f, on)| *on && indoors(&f.between[0]));
    let usual = start(house);
    let shut = usual.open.iter().zip(&setup.open).any(|(usual, now)| *usual && !now);
    setup.test_fan.is_some() || exhaust || (setup.air_handler && shut)
}

/// Zones on both sides of an inner door.
pub(super) fn sides(house: &House, door: usize) -> Option<(usize, usize)> {
    match house.doors[door].between {
        [Place::Zone(a), Place::Zone(b)] => Some((a, b)),
        _ => None,
    }
}

impl Board {
    fn setup(&mut self, setup: Setup) -> usize {
        self.setup_at(setup, STATED_AT_PA)
    }

    fn setup_at(&mut self, setup: Setup, fan_pa: f64) -> usize {
        self.fan_pa.push(fan_pa);
        self.setups.push(setup);
        self.setups.len() - 1
    }

    fn column(&mut self, column: Column) -> usize {
        let known = self.columns.iter().position(|c| *c == column);
        known.unwrap_or_else(|| {
            self.columns.push(column);
            self.columns.len() - 1
        })
    }

    fn trial(&mut self, house: &House, moment: &Moment, setup: usize, reads: Reads, toggled: Option<usize>) {
        let fan = self.setups[setup].test_fan.is_some();
        // A fan is held at a pressure that a gauge shows.
        let mut needs = if fan { vec![Instrument::Gauge, Instrument::TestFan] } else { Vec::new() };
        let tool = instrument_of(&reads);
        if !needs.contains(&tool) {
            needs.push(tool);
        }
        let missing = needs.into_iter().find(|i| moment.kit.get(*i).is_none());
        let mut columns = vec![self.column(Column { setup, reads: reads.clone() })];
        // Whoever walks from register to register reads no other number beside.
        let alone = matches!(reads, Reads::FanFlow | Reads::Ducts { .. } | Reads::Pans { .. });
        if fan && !alone {
            columns.push(self.column(Column { setup, reads: Reads::FanFlow }));
        }
        let draws_down = draws_down(house, &self.setups[setup]);
        self.trials.push(Trial { reads, setup, columns, toggled, draws_down, missing });
    }

    /// A door, hatch or window open by a hole of known size while the test fan runs. What flows through a
    /// known hole sets the scale that pressures alone do not have.
    fn holes(&mut self, house: &House, moment: &Moment, base: &Setup) {
        let rooms = crate::fit::fan_zone(house);
        for (d, door) in house.doors.iter().enumerate() {
            let whole_m2 = door.text.width_m * door.text.height_m;
            for area_m2 in HOLES_M2.into_iter().filter(|a| *a <= MOST_OF_DOOR * whole_m2) {
                let mut setup = base.clone();
                setup.test_fan = Some(Direction::Depressurise);
                setup.open[d] = false;
                setup.hole[d] = Some(Hole { area_m2, ln_sd: HOLE_LN_SD });
                let at = self.setup(setup);
                self.trial(house, moment, at, Reads::FanFlow, Some(d));
                // What it is about is felt beside it.
                let zones = door.between.iter().filter_map(|p| match p {
                    Place::Zone(z) => Some(*z),
                    Place::Outdoors(_) => None,
                });
                for feels in zones.filter(|z| Some(*z) != rooms) {
                    let compared_with = rooms.filter(|_| house.zones[feels].kind.is_indoors());
                    self.trial(house, moment, at, Reads::Tap { feels, compared_with }, Some(d));
                }
            }
        }
    }

    /// An opening of the rooms' shell that can be masked: what the fan's flow then falls by is its own.
    fn masks(&mut self, house: &House, moment: &Moment, base: &Setup) {
        let room = |p: &Place| matches!(p, Place::Zone(z) if house.zones[*z].kind.is_indoors());
        for (l, leak) in house.leaks.iter().enumerate() {
            let opening = matches!(leak.exponent, Exponent::Fixed(n) if n <= 0.5);
            if !opening || !leak.between.iter().any(room) {
                continue;
            }
            let mut setup = base.clone();
            setup.test_fan = Some(Direction::Depressurise);
            setup.sealed[l] = true;
            let at = self.setup(setup);
            self.trial(house, moment, at, Reads::FanFlow, None);
        }
    }

    /// Leakage of each side of the ducts by a duct tester and by pans.
    fn ducts(&mut self, house: &House, moment: &Moment, base: &Setup) {
        let Some(handler) = &house.air_handler else { return };
        let inside = house.zones[handler.zone].kind.is_indoors();
        // To outdoors the rooms are brought to the pressure of the ducts.
        let to_outdoors = Setup { test_fan: Some(Direction::Pressurise), ..base.clone() };
        let at = if inside { self.setup(base.clone()) } else { self.setup_at(to_outdoors, DUCT_TEST_PA) };
        for supply in [true, false] {
            self.trial(house, moment, at, Reads::Ducts { supply }, None);
        }
        // Pans see what is open to outside of the rooms.
        if inside {
            return;
        }
        let at = self.setup(Setup { test_fan: Some(Direction::Depressurise), ..base.clone() });
        for supply in [true, false] {
            if handler.registers.iter().any(|r| r.1 == supply) {
                self.trial(house, moment, at, Reads::Pans { supply }, None);
            }
        }
    }

    /// Everything that can be read in the house.
    pub(super) fn new(house: &House, moment: &Moment) -> Board {
        let mut board = Board::default();
        let base = start(house);
        let rooms = crate::fit::fan_zone(house);
        let doors = || std::iter::once(None).chain((0..house.doors.len()).map(Some));
        let zones = || 0..house.zones.len();
        // Nothing runs: what stack and wind do.
        let rest = board.setup(base.clone());
        for feels in zones() {
            board.trial(house, moment, rest, Reads::Tap { feels, compared_with: None }, None);
        }
        // The test fan, everything as usual or one door or hatch turned: an opened hatch is the known
        // opening that is added on purpose.
        // As usual also at a low pressure: how leaks grow with pressure decides what they pass in use.
        for (toggled, fan_pa) in doors().map(|d| (d, STATED_AT_PA)).chain([(None, LOW_PA)]) {
            let mut setup = base.clone();
            setup.test_fan = Some(Direction::Depressurise);
            if let Some(d) = toggled {
                setup.open[d] = !setup.open[d];
            }
            let at = board.setup_at(setup, fan_pa);
            board.trial(house, moment, at, Reads::FanFlow, toggled);
            for feels in zones().filter(|z| Some(*z) != rooms) {
                let compared_with = rooms.filter(|_| house.zones[feels].kind.is_indoors());
                board.trial(house, moment, at, Reads::Tap { feels, compared_with }, toggled);
            }
        }
        board.holes(house, moment, &base);
        board.masks(house, moment, &base);
        board.ducts(house, moment, &base);
        if let Some(handler) = &house.air_handler {
            let on = Setup { air_handler: true, ..base.clone() };
            let at = board.setup(on.clone());
            board.trial(house, moment, at, Reads::Handler, None);
            for register in 0..handler.registers.len() {
                board.trial(house, moment, at, Reads::Register { register }, None);
            }
            // What the handler's leaks do to the pressures of the house.
            for feels in zones() {
                board.trial(house, moment, at, Reads::Tap { feels, compared_with: None }, None);
            }
            for d in (0..house.doors.len()).filter(|d| !house.doors[*d].horizontal && base.open[*d]) {
                let Some((a, b)) = sides(house, d) else { continue };
                // The smaller side is the room.
                let (room, other) =
                    if house.zones[a].volume_m3 < house.zones[b].volume_m3 { (a, b) } else { (b, a) };
                let mut shut = on.clone();
                shut.open[d] = false;
                let at = board.setup(shut);
                let across = Reads::Tap { feels: room, compared_with: Some(other) };
                board.trial(house, moment, at, across, Some(d));
                board.trial(house, moment, at, Reads::Tap { feels: other, compared_with: None }, Some(d));
            }
        }
        let burners = || house.appliances.iter().map(|a| Reads::Tap { feels: a.zone, compared_with: None });
        for fan in 0..house.fans.len() {
            let mut setup = base.clone();
            setup.running[fan] = true;
            let at = board.setup(setup);
            board.trial(house, moment, at, Reads::Exhaust { fan }, None);
            for reads in burners() {
                board.trial(house, moment, at, reads, None);
            }
        }
        if house.fans.len() > 1 && !house.appliances.is_empty() {
            let mut all = Setup { air_handler: house.air_handler.is_some(), ..base.clone() };
            all.running.fill(true);
            let at = board.setup(all);
            for reads in burners() {
                board.trial(house, moment, at, reads, None);
            }
        }
        board
    }
}
