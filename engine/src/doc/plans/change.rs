//! The changes that a plan can make.

use crate::doc::Sp;
use crate::doc::house::{Dehumidifier, Draft, Face, Humidifier};

/// When something runs.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum When {
    /// All the time.
    #[default]
    Always,
    /// In these spans of the day, s after midnight.
    Spans(Vec<(f64, f64)>),
    /// A part of every hour, 0 to 1.
    Share(f64),
    /// While the relative humidity of its zone is above, 0 to 1.
    Above(f64),
}

/// How far leaks are sealed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sealing {
    /// By a share of each, low and high end.
    Removes((f64, f64)),
    /// Until all of them together pass no more than this at 50 Pa, m3/s, low and high end.
    Until((f64, f64)),
}

/// Which surfaces of the house file.
#[derive(Clone, Debug, PartialEq)]
pub enum SurfaceOf {
    /// That of this label.
    Label(Sp<String>),
    /// All between two places.
    Between([Sp<String>; 2]),
}

/// A machine that can be taken away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Machine {
    /// The dehumidifier.
    Dehumidifier,
    /// Humidifiers of a zone.
    Humidifier,
}

/// What a change does; its word is the key `do`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "each stands for the change of its name")]
pub enum Verb {
    Seal,
    SealDucts,
    Transfer,
    CloseOpening,
    Exhaust,
    Hood,
    Supply,
    Balanced,
    Intake,
    Filter,
    Cleaner,
    Mixing,
    Dehumidify,
    Humidify,
    Remove,
    Speed,
    RunFan,
    SetPoints,
    Door,
    Insulate,
    Glazing,
    Shade,
    GroundCover,
    CloseCrawl,
    Drain,
    VentDryer,
    Replace,
    CutSource,
    Rules,
}

impl Verb {
    /// The words used in documents.
    pub const CHOICES: &'static [(&'static str, Verb)] = &[
        ("seal", Verb::Seal),
        ("seal ducts", Verb::SealDucts),
        ("transfer", Verb::Transfer),
        ("close opening", Verb::CloseOpening),
        ("exhaust fan", Verb::Exhaust),
        ("range hood", Verb::Hood),
        ("supply fan", Verb::Supply),
        ("balanced ventilation", Verb::Balanced),
        ("outdoor air to return", Verb::Intake),
        ("filter", Verb::Filter),
        ("air cleaner", Verb::Cleaner),
        ("mix", Verb::Mixing),
        ("dehumidify", Verb::Dehumidify),
        ("humidify", Verb::Humidify),
        ("remove", Verb::Remove),
        ("fan speed", Verb::Speed),
        ("run fan", Verb::RunFan),
        ("set points", Verb::SetPoints),
        ("door", Verb::Door),
        ("insulate", Verb::Insulate),
        ("glazing", Verb::Glazing),
        ("shade", Verb::Shade),
        ("ground cover", Verb::GroundCover),
        ("close crawl space", Verb::CloseCrawl),
        ("drain", Verb::Drain),
        ("vent dryer", Verb::VentDryer),
        ("replace appliance", Verb::Replace),
        ("cut source", Verb::CutSource),
        ("rules", Verb::Rules),
    ];
}

/// What kind of device a rule sets, as far as an appliance feels it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RuledDevice {
    /// The air handler.
    Handler,
    /// A dehumidifier.
    Drier,
    /// A damper.
    Opening,
    /// A fan or hood.
    Exhaust,
    /// Something that brings outdoor air.
    Ventilator,
}

/// What a rule that a plan turns on does to its device.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleAct {
    /// Name of the rule.
    pub rule: String,
    /// Name of the device.
    pub device: String,
    /// What the device is.
    pub kind: RuledDevice,
    /// Whether the device may run longer than by itself.
    pub more: bool,
    /// Whether it may run less.
    pub less: bool,
    /// The rule as read, so that a release hangs on it.
    pub text: String,
}

/// One change.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Seals leaks.
    Seal {
        /// Which.
        what: Vec<Sp<String>>,
        /// How far.
        how: Sealing,
    },
    /// Seals the ducts of the air handler by a share of their leakage.
    SealDucts {
        /// Share taken away.
        removes: (f64, f64),
    },
    /// Cuts a grille or a jump duct between two zones.
    Transfer {
        /// The two sides.
        between: [Sp<String>; 2],
        /// Free area, m2.
        area_m2: f64,
    },
    /// Closes a grille, a duct, a damper or a stack for good.
    CloseOpening {
        /// Which.
        what: Sp<String>,
    },
    /// A fan that blows out.
    Exhaust {
        /// From where.
        from: Sp<String>,
        /// Flow, m3/s.
        flow_m3_s: f64,
        /// Power, W.
        power_w: f64,
        /// When it runs.
        when: When,
    },
    /// A hood that catches part of what is cooked.
    Hood {
        /// Above the range of which zone.
        zone: Sp<String>,
        /// Flow, m3/s.
        flow_m3_s: f64,
        /// Power, W.
        power_w: f64,
        /// Share caught; by its flow where not told.
        capture: Option<f64>,
        /// When it runs; while something is cooked in its zone where empty.
        runs_s: Vec<(f64, f64)>,
    },
    /// A fan that blows in.
    Supply {
        /// To where.
        to: Sp<String>,
        /// Flow, m3/s.
        flow_m3_s: f64,
        /// Power, W.
        power_w: f64,
        /// Share of outdoor PM2.5 its filter holds.
        pm25: f64,
        /// When it runs.
        when: When,
    },
    /// Supply and exhaust, with recovery.
    Balanced {
        /// To where.
        to: Sp<String>,
        /// From where.
        from: Sp<String>,
        /// Supply flow, m3/s.
        flow_m3_s: f64,
        /// Exhaust flow, m3/s.
        exhaust_m3_s: f64,
        /// Power of both fans, W.
        power_w: f64,
        /// Share of the temperature difference recovered.
        recovery: f64,
        /// Share of the moisture difference recovered.
        moisture: f64,
        /// Share of outdoor PM2.5 its filter holds.
        pm25: f64,
        /// When it runs.
        when: When,
    },
    /// A duct from outdoors into the return of the air handler, with a motor damper that opens while
    /// it runs, and a least run time.
    Intake {
        /// Outdoor air while the handler runs, m3/s.
        flow_m3_s: f64,
        /// Share of the hour it runs at least.
        share: f64,
    },
    /// Another filter.
    Filter {
        /// A filter of the house file in a line; that of the air handler where not told.
        what: Option<Sp<String>>,
        /// Share of PM2.5 caught in one pass.
        pm25: f64,
        /// Its class, where it was told by class.
        merv: Option<usize>,
        /// Pressure drop, clean, at the flow that the house file rates the old one at, Pa.
        drop_pa: Option<f64>,
        /// What dust multiplies it by on the mean until it is changed.
        loading: f64,
        /// Whether that of the air handler stands at the return grille; where the old one stands where not told.
        at_grille: Option<bool>,
    },
    /// A portable air cleaner.
    Cleaner {
        /// Where.
        zone: Sp<String>,
        /// Clean air delivery rate for PM2.5, m3/s.
        cadr_m3_s: f64,
        /// Power, W.
        power_w: f64,
        /// When it runs.
        when: When,
    },
    /// The air handler runs at least this share of the hour, to mix.
    Mixing {
        /// Share of the hour.
        share: f64,
    },
    /// A dehumidifier.
    Dehumidify(Dehumidifier),
    /// A humidifier.
    Humidify(Humidifier),
    /// Takes a machine away.
    Remove {
        /// Which kind.
        machine: Machine,
        /// Where it stands.
        zone: Sp<String>,
    },
    /// Another speed of a fan or of the air handler; power follows with its cube.
    Speed {
        /// A fan, or `air_handler`.
        what: Sp<String>,
        /// Share of the present speed.
        to: f64,
    },
    /// Other hours of a fan of the house file.
    RunFan {
        /// Which.
        fan: Sp<String>,
        /// Spans of the day; empty is never.
        runs_s: Vec<(f64, f64)>,
    },
    /// Other set points and set-backs.
    SetPoints {
        /// Heating, K.
        heat_k: Option<f64>,
        /// Cooling, K.
        cool_k: Option<f64>,
        /// Heating in the hours of the set-back, K.
        heat_back_k: Option<f64>,
        /// Cooling in the hours of the set-back, K.
        cool_back_k: Option<f64>,
        /// When the set-back holds.
        hours_s: Vec<(f64, f64)>,
    },
    /// A door policy at night.
    Door {
        /// Which door.
        door: Sp<String>,
        /// Open at night.
        open_at_night: bool,
    },
    /// Insulation on surfaces of the house file.
    Insulate {
        /// Which.
        surface: SurfaceOf,
        /// Resistance added, m2 K/W.
        adds_m2_k_w: f64,
        /// Area, m2, where the house file gives none.
        area_m2: Option<f64>,
    },
    /// Other glass.
    Glazing {
        /// Which surface carries its conductance.
        surface: SurfaceOf,
        /// New transmittance, W/(m2 K).
        u_w_m2_k: f64,
        /// Area, m2, where the house file gives none.
        area_m2: Option<f64>,
        /// New solar heat gain coefficient of the windows of `zone` and `face`.
        shgc: Option<f64>,
        /// Zone behind the windows.
        zone: Option<Sp<String>>,
        /// Side of the house they are on.
        face: Option<Face>,
    },
    /// Shades windows.
    Shade {
        /// Zone behind them.
        zone: Sp<String>,
        /// Side of the house; all where not told.
        face: Option<Face>,
        /// Share of the sun kept out.
        cuts: f64,
    },
    /// A sheet over wet ground.
    GroundCover {
        /// Zone above it.
        zone: Sp<String>,
        /// Part covered.
        cover: f64,
    },
    /// Closes a crawl space to outdoors and covers its ground.
    CloseCrawl {
        /// Which zone.
        zone: Sp<String>,
        /// Share of its leaks and vents to outdoors taken away.
        removes: (f64, f64),
        /// Part of the ground covered.
        cover: f64,
    },
    /// Leads water away from the ground.
    Drain {
        /// Zone above it.
        zone: Sp<String>,
        /// Share of the ground's water that ends.
        cuts: f64,
    },
    /// A duct to outdoors for a clothes dryer that blows into the room.
    VentDryer {
        /// Where it stands.
        zone: Sp<String>,
        /// Flow, m3/s.
        flow_m3_s: f64,
    },
    /// Another appliance in place of the one that is there; nothing for an electric one.
    Replace {
        /// Which appliance.
        appliance: Sp<String>,
        /// How the new one is vented.
        by: Option<Draft>,
    },
    /// Less of what a source gives: other cooking, other habits, another product.
    CutSource {
        /// Label of a source, or name of a gas.
        what: Sp<String>,
        /// Share taken away of water, particles or gas.
        cuts: f64,
    },
    /// Turns on control rules of the job.
    Rules {
        /// Names of rules or of their files.
        what: Vec<Sp<String>>,
        /// What they do, found when the plan is resolved.
        acts: Vec<RuleAct>,
    },
}
