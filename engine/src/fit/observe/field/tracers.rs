//! Tracers, plateaus and humidity as observations, and what every summary has in common.

use super::{BUFFERED, FLOW_REPEATABILITY, Placed, relative_sd};
use crate::doc::Sp;
use crate::doc::field::FieldTest;
use crate::fit::inflow;
use crate::fit::observe::{Day, Observation, Seen};
use crate::house::Setup;
use crate::math;
use crate::measure::Estimate;

impl Day<'_> {
    /// A tracer in a room: by its air change, or by the flow that the whole house must get.
    pub(super) fn tracer(
        &mut self,
        test: &FieldTest,
        setup: &Setup,
        zone: Option<&Sp<String>>,
        figure: Option<Estimate>,
        (of_volume, must_be_whole): (bool, bool),
        discrepancy: f64,
    ) -> Placed {
        let named = zone.and_then(|z| self.zone_called(&z.value));
        if let (Some(zone), None) = (zone, named) {
            return Err(("left-out-which-zone", zone.value.clone()));
        }
        let Some(at) = named.or_else(|| self.fan_zone(None)) else { return Ok(()) };
        let body = inflow::body(self.house, setup, [at, at]);
        let whole = inflow::is_whole(self.house, &body);
        if named.is_none() && !whole {
            return Err(("left-out-which-zone", String::new()));
        }
        // What comes from the rooms beside is not outdoor air, and how much it carried is not known.
        if must_be_whole && !whole {
            return Err(("left-out-rooms", self.house.zones[at].label.clone()));
        }
        self.inflow(test, setup, [at, at], figure, of_volume, discrepancy)
    }

    pub(super) fn inflow(
        &mut self,
        test: &FieldTest,
        setup: &Setup,
        zones: [usize; 2],
        figure: Option<Estimate>,
        of_volume: bool,
        discrepancy: f64,
    ) -> Placed {
        let conditions = &self.visit.conditions;
        if conditions.indoor_k.is_none() || conditions.outdoor_k.is_none() {
            return Err(("left-out-temperatures", String::new()));
        }
        let setup = Setup { test_fan: None, ..setup.clone() };
        self.of_figure(test, &setup, Seen::Inflow { zones, of_volume }, figure, None, discrepancy)
    }

    /// One figure of a result as an observation. Where its instrument is also another reading's, the
    /// share of its interval that is the instrument's own error is taken out and shared.
    pub(super) fn of_figure(
        &mut self,
        test: &FieldTest,
        setup: &Setup,
        seen: Seen,
        figure: Option<Estimate>,
        with: Option<&Sp<String>>,
        discrepancy: f64,
    ) -> Placed {
        let Some(figure) = figure.filter(|f| f.si > 0.0) else {
            return Err(("left-out-no-result", String::new()));
        };
        let own = relative_sd(&figure);
        if own.is_none() && discrepancy < BUFFERED {
            return Err(("left-out-interval", String::new()));
        }
        let shared = self.named(with).filter(|(_, i)| i.accuracy.is_some()).map(|i| i.0);
        let gain_sd = shared.map_or(0.0, |i| self.all.instruments[i].gain_sd);
        let own = own.unwrap_or(0.0);
        let rest = own * own - gain_sd * gain_sd + discrepancy * discrepancy;
        let noise_sd =
            if rest > FLOW_REPEATABILITY * FLOW_REPEATABILITY { rest.sqrt() } else { FLOW_REPEATABILITY };
        let station = self.station(setup, None);
        self.all.list.push(Observation {
            station,
            seen,
            value: math::ln(figure.si),
            noise_sd,
            below: false,
            instrument: shared,
            span: test.span.clone(),
        });
        Ok(())
    }
}
