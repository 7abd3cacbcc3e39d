//! What a visit disturbed against the house as found, and what of it has been put back.
//!
//! Derived from every setup of the visit (`[start]`, `set` of tests and readings), from how tests were
//! prepared, from what each kind of test needs (pans, masks, plugs, a flow plate), and from what was noted
//! by hand. Each thing stands once, under the name that closes it.

use crate::diag::{Diagnostic, Span, code};
use crate::doc::field::handler::flow::Method;
use crate::doc::field::{Asked, FieldTest};
use crate::doc::visit::Visit;
use crate::doc::{Sink, Sp};
use crate::house::{self, House, Switchable};
use crate::procedure::combustion::HANDLER;
use serde::Serialize;

/// What kind of thing, for its words: `restore-item-...` in the catalogues.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sort {
    /// A burning appliance: pilot, thermostat, controls.
    Appliance,
    /// A plug in a flue or a vent connector.
    FluePlug,
    /// The air handler and its thermostat.
    Handler,
    /// A fan.
    Fan,
    /// A door, a hatch, a window.
    Door,
    /// Tape or a cover over an opening.
    Cover,
    /// The opening that the test fan stood in.
    TestFan,
    /// Masks, pans or a duct fan at registers.
    Registers,
    /// The filter slot.
    Filter,
    /// Plugs in the holes of static pressure probes.
    Plugs,
    /// A hole or hatch that was opened into a zone.
    ZoneOpening,
    /// Anything else, in the tester's words.
    Noted,
}

/// Where it is known from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "by", rename_all = "kebab-case")]
pub enum Because {
    /// The setup before the first reading.
    Start,
    /// The setup of a single reading.
    Reading,
    /// The setup of a test.
    Test {
        /// Its name.
        test: String,
    },
    /// How a test was prepared.
    Prepared {
        /// Its name.
        test: String,
    },
    /// A test of its kind needs it.
    Kind {
        /// Its name.
        test: String,
    },
    /// Noted by hand.
    Noted,
}

/// Who put it back.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Back {
    /// Who; empty where the preparation itself says that it was put back.
    pub by: String,
    /// When.
    pub when: String,
}

/// One thing that the visit disturbed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Disturbed {
    /// The name that closes it in `[[restored]]`.
    pub id: String,
    /// What kind of thing.
    pub sort: Sort,
    /// What people call it, where a document names it.
    pub label: String,
    /// How it was found, as written; nothing where nobody noted it.
    pub found: Option<String>,
    /// How it stood meanwhile, as written, in the order noted.
    pub states: Vec<String>,
    /// Where that is known from.
    pub because: Vec<Because>,
    /// Who put it back, and when; nothing while it is open.
    pub restored: Option<Back>,
    /// Where it was first written.
    pub span: Span,
}

/// The restore list of one visit.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Restore {
    /// Folder of the visit.
    pub visit: String,
    /// Its date.
    pub date: String,
    /// Everything disturbed, in the order of [`Sort`]: what burns first.
    pub list: Vec<Disturbed>,
    /// Who closed the visit, and when.
    pub closed: Option<Back>,
}

impl Restore {
    /// What has not been put back.
    pub fn open(&self) -> impl Iterator<Item = &Disturbed> {
        self.list.iter().filter(|d| d.restored.is_none())
    }

    /// Whether the visit is closed with nothing open.
    pub fn is_complete(&self) -> bool {
        self.closed.is_some() && self.open().next().is_none()
    }
}

/// What one line of a test's preparation means, in whatever language it was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Prepared {
    /// Whether something has to be put back.
    pub disturbed: bool,
    /// Whether the line says that it was.
    pub restored: bool,
}

/// Reads a line of preparation in the tester's own words: what is plainly left alone is left alone, all
/// the rest is listed, because a list that is too long harms nobody.
pub fn plain(how: &str) -> Prepared {
    const ALONE: &[&str] =
        &["none", "as found", "left open", "left on", "left as it is", "open", "shut", "closed", "not there"];
    let parts = || how.split([',', ';']).map(|p| p.trim().to_lowercase());
    Prepared {
        disturbed: !parts().any(|p| ALONE.contains(&p.as_str())),
        restored: parts().any(|p| p == "restored"),
    }
}

/// The list under construction.
struct List<'a> {
    house: Option<&'a House>,
    visit: &'a Visit,
    out: Vec<Disturbed>,
}

/// The restore list of a visit. `prepared` reads a line of a test's preparation, such as [`plain`].
pub fn restore(visit: &Visit, house: Option<&House>, prepared: &dyn Fn(&str, &str) -> Prepared) -> Restore {
    let mut list = List { house, visit, out: Vec::new() };
    list.set(&visit.start, &Because::Start);
    for test in &visit.tests {
        let name = test.name.value.clone();
        list.set(&test.set, &Because::Test { test: name.clone() });
        list.kind("test_fan", Sort::TestFan, "", &name, &test.span);
        for (what, how) in &test.prepared {
            let read = prepared(&what.value, &how.value);
            if read.disturbed || read.restored {
                let because = Because::Prepared { test: name.clone() };
                let back = read.restored.then(|| Back { by: String::new(), when: String::new() });
                list.add(
                    (&what.value, Sort::Noted, &what.value),
                    None,
                    Some(&how.value),
                    because,
                    &what.span,
                );
                if let (Some(last), Some(back)) = (list.find(&what.value), back) {
                    last.restored = Some(back);
                }
            }
        }
    }
    for test in &visit.field {
        list.set(&test.set, &Because::Test { test: test.name.value.clone() });
        list.field(test);
    }
    for reading in &visit.readings {
        list.set(&reading.set, &Because::Reading);
    }
    for touched in &visit.care.touched {
        let what = &touched.what;
        let (found, left) = (touched.found.as_deref(), touched.left.as_deref());
        list.add((&what.value, Sort::Noted, &what.value), found, left, Because::Noted, &what.span);
    }
    for restored in &visit.care.restored {
        for what in &restored.what {
            if let Some(one) = list.find(&what.value) {
                one.restored = Some(Back { by: restored.by.clone(), when: restored.when.clone() });
            }
        }
    }
    list.out.sort_by_key(|d| d.sort);
    let closed = visit.care.closed.as_ref().map(|c| Back { by: c.by.clone(), when: c.when.clone() });
    Restore { visit: visit.folder.clone(), date: visit.date.clone(), list: list.out, closed }
}

/// Names put back that are not on the list, and a visit that was closed with something open.
pub fn check(visit: &Visit, restore: &Restore, sink: &Sink) {
    let known: Vec<&str> = restore.list.iter().map(|d| d.id.as_str()).collect();
    for what in visit.care.restored.iter().flat_map(|r| &r.what) {
        if !known.contains(&what.value.as_str()) {
            sink.borrow_mut().push(
                Diagnostic::warning(code::O105)
                    .at(what.span.clone())
                    .arg("name", what.value.as_str())
                    .arg("near", crate::text::closest(&what.value, known.iter().copied()).unwrap_or(""))
                    .arg("known", known.join(", ")),
            );
        }
    }
    let open: Vec<&str> = restore.open().map(|d| d.id.as_str()).collect();
    if let Some(closed) = &visit.care.closed
        && !open.is_empty()
    {
        sink.borrow_mut().push(
            Diagnostic::error(code::O106)
                .at(closed.span.clone())
                .arg("count", open.len())
                .arg("open", open.join(", ")),
        );
    }
}

impl List<'_> {
    fn find(&mut self, id: &str) -> Option<&mut Disturbed> {
        self.out.iter_mut().find(|d| d.id == id)
    }

    fn add(
        &mut self,
        (id, sort, label): (&str, Sort, &str),
        found: Option<&str>,
        state: Option<&str>,
        because: Because,
        span: &Span,
    ) {
        if self.find(id).is_none() {
            self.out.push(Disturbed {
                id: id.to_owned(),
                sort,
                label: label.to_owned(),
                found: found.map(str::to_owned),
                states: Vec::new(),
                because: Vec::new(),
                restored: None,
                span: span.clone(),
            });
        }
        let Some(one) = self.find(id) else { return };
        if let Some(state) = state
            && !one.states.iter().any(|s| s == state)
        {
            one.states.push(state.to_owned());
        }
        if !one.because.contains(&because) {
            one.because.push(because);
        }
    }

    /// How a thing was found: as noted, else as it stood before the first reading; a leak nobody sealed is
    /// open and a test fan nobody put up is off.
    fn found(&self, name: &str) -> Option<String> {
        let noted = |list: &[(Sp<String>, Sp<String>)]| {
            list.iter().find(|(n, _)| n.value == name).map(|(_, word)| word.value.clone())
        };
        noted(&self.visit.care.found).or_else(|| noted(&self.visit.start)).or_else(|| {
            match self.house.and_then(|h| house::find(h, name)) {
                Some(Switchable::Leak(_)) => Some("open".to_owned()),
                Some(Switchable::TestFan) => Some("off".to_owned()),
                None if name == "test_fan" => Some("off".to_owned()),
                _ => None,
            }
        })
    }

    /// Kind and label of what a name switches; nothing for what no hand puts back.
    fn switched(&self, name: &str) -> Option<(Sort, String)> {
        let Some(house) = self.house else {
            let sort = match name {
                "test_fan" => Sort::TestFan,
                HANDLER => Sort::Handler,
                _ => Sort::Noted,
            };
            return Some((sort, name.to_owned()));
        };
        Some(match house::find(house, name) {
            Some(Switchable::Door(d)) => (Sort::Door, house.doors[d].text.label.clone()),
            Some(Switchable::Fan(f)) => (Sort::Fan, house.fans[f].text.label.clone()),
            Some(Switchable::AirHandler) => (Sort::Handler, String::new()),
            Some(Switchable::Leak(l)) => (Sort::Cover, house.leaks[l].label.clone()),
            Some(Switchable::TestFan) => (Sort::TestFan, String::new()),
            // A hot stack cools by itself.
            Some(Switchable::Stack(_)) => return None,
            // A name nobody knows is reported where it stands; a thing it may be all the same.
            None => (Sort::Noted, name.to_owned()),
        })
    }

    fn set(&mut self, set: &[(Sp<String>, Sp<String>)], because: &Because) {
        for (name, word) in set {
            self.state(&name.value, &word.value, because, &name.span);
        }
    }

    /// A thing that stood in this state; listed where it was found otherwise, or where nobody noted how.
    fn state(&mut self, name: &str, word: &str, because: &Because, span: &Span) {
        let found = self.found(name);
        if found.as_deref() == Some(word) || word == "unknown" {
            return;
        }
        if let Some((sort, label)) = self.switched(name) {
            self.add((name, sort, &label), found.as_deref(), Some(word), because.clone(), span);
        }
    }

    /// Something that a test of its kind needs, whatever was noted.
    fn kind(&mut self, id: &str, sort: Sort, label: &str, test: &str, span: &Span) {
        let found = if sort == Sort::TestFan { Some("off") } else { None };
        self.add((id, sort, label), found, None, Because::Kind { test: test.to_owned() }, span);
    }

    fn field(&mut self, test: &FieldTest) {
        let (name, span) = (test.name.value.as_str(), &test.span);
        let because = Because::Test { test: name.to_owned() };
        match &test.asked {
            Asked::DuctLeakage(_) => self.kind("register_masks", Sort::Registers, "", name, span),
            Asked::PressurePans(_) => self.kind("pressure_pans", Sort::Registers, "", name, span),
            Asked::DuctDifference(_) => self.kind("register_masks", Sort::Registers, "", name, span),
            Asked::StaticPressure(_) => self.kind("static_plugs", Sort::Plugs, "", name, span),
            Asked::HandlerFlow(flow) => match flow.method {
                Method::Plenum { .. } => self.kind("filter_slot", Sort::Filter, "", name, span),
                Method::Traverse { .. } => self.kind("static_plugs", Sort::Plugs, "", name, span),
                _ => {}
            },
            Asked::FanPressures(f) => {
                for on in f.states.iter().flat_map(|s| &s.on) {
                    self.state(&on.value, "on", &because, &on.span);
                }
            }
            Asked::RoomPressures(rooms) => {
                for room in &rooms.rooms {
                    let label =
                        self.house.and_then(|h| h.zone(&room.room.value).map(|z| h.zones[z].label.clone()));
                    let label = label.unwrap_or_else(|| room.room.value.clone());
                    // A door of the house that leads there stands under its own name.
                    if !self.door_of(&room.room.value, &because, &room.room.span) {
                        let id = format!("door of {}", room.room.value);
                        self.kind(&id, Sort::Door, &label, name, &room.room.span);
                    }
                }
            }
            Asked::ZonePressures(z) if !z.opened.is_empty() => {
                let zone = z.zone.as_ref().map_or("", |z| z.value.as_str());
                let label = self.house.and_then(|h| h.zone(zone).map(|i| h.zones[i].label.clone()));
                let label = label.unwrap_or_else(|| zone.to_owned());
                self.kind(format!("opening to {zone}").trim_end(), Sort::ZoneOpening, &label, name, span);
            }
            Asked::CombustionZone(c) => {
                for state in &c.states {
                    self.set(&state.set, &because);
                }
                self.combustion(test, &because);
                for appliance in c.spillage.iter().map(|s| &s.record.appliance) {
                    self.appliance(appliance, name);
                }
                for flue in c.flue_co.iter().chain(&c.oven) {
                    self.appliance(&flue.record.appliance, name);
                }
                let drilled = c.flue_co.iter().map(|f| &f.record.appliance);
                for appliance in drilled.chain(c.draft.iter().map(|d| &d.appliance)) {
                    let label = self.appliance_label(&appliance.value);
                    let id = format!("flue of {}", appliance.value);
                    self.kind(&id, Sort::FluePlug, &label, name, &appliance.span);
                }
            }
            _ => {}
        }
    }

    /// What a combustion test switched by its words for all exhausts, the handler and the doors.
    fn combustion(&mut self, test: &FieldTest, because: &Because) {
        use crate::procedure::combustion::Devices;
        let Asked::CombustionZone(c) = &test.asked else { return };
        let zone = self.house.zip(c.zone.as_ref()).and_then(|(h, z)| h.zone(&z.value));
        let mut devices = self.house.map(|h| Devices::of_house(h, zone)).unwrap_or_default();
        devices.exhausts.extend(c.exhausts.iter().map(|e| e.value.clone()));
        devices.zone_doors.extend(c.zone_doors.iter().map(|d| d.value.clone()));
        devices.room_doors.extend(c.doors.iter().map(|d| d.value.clone()));
        let any = |of: fn(&crate::doc::field::combustion_zone::State) -> bool| c.states.iter().any(of);
        let span = &test.span;
        if any(|s| s.exhausts) {
            for fan in &devices.exhausts {
                self.state(fan, "on", because, span);
            }
        }
        if any(|s| s.handler) {
            self.state(HANDLER, "on", because, span);
        }
        if any(|s| s.doors) {
            for door in &devices.room_doors {
                self.state(door, "shut", because, span);
            }
        }
        if any(|s| s.zone_doors) {
            for door in &devices.zone_doors {
                self.state(door, "shut", because, span);
            }
        }
    }

    fn appliance_label(&self, name: &str) -> String {
        let found = self.house.and_then(|h| h.appliances.iter().find(|a| a.name == name));
        found.map_or_else(|| name.to_owned(), |a| a.label.clone())
    }

    fn appliance(&mut self, appliance: &Sp<String>, test: &str) {
        let label = self.appliance_label(&appliance.value);
        self.kind(&appliance.value, Sort::Appliance, &label, test, &appliance.span);
    }

    /// The doors of the house that lead to a room, shut for its reading; whether there is one.
    fn door_of(&mut self, room: &str, because: &Because, span: &Span) -> bool {
        let Some(house) = self.house else { return false };
        let Some(zone) = house.zone(room) else { return false };
        let inside =
            |p: &house::Place| matches!(p, house::Place::Zone(z) if house.zones[*z].kind.is_indoors());
        let leads =
            |d: &&house::Door| d.between.contains(&house::Place::Zone(zone)) && d.between.iter().all(inside);
        let names: Vec<String> =
            house.doors.iter().filter(leads).map(|d| d.text.name.value.clone()).collect();
        for name in &names {
            self.state(name, "shut", because, span);
        }
        !names.is_empty()
    }
}
