//! Every diagnostic code, by family:
//! T text and tables, U units, J job, H house, V visit and readings, P plans, W weather,
//! E envelope test, N network, F fit, Y year, G gate, S store of files.
//! A test in `report` fails on a code without a text in every language.

use serde::Serialize;

/// A stable code such as `T101`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct Code(pub &'static str);

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.0)
    }
}

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident;)*) => {
        /// Every code there is.
        pub const ALL: &[Code] = &[$(Code(stringify!($name))),*];
        pub(super) mod names {
            use super::Code;
            $($(#[$doc])* pub const $name: Code = Code(stringify!($name));)*
        }
    };
}

codes! {
    /// The file is not well-formed TOML.
    T001;
    /// A key nobody knows here.
    T002;
    /// A key that is needed is missing.
    T003;
    /// A value of the wrong type.
    T004;
    /// A word that is not one of the choices.
    T005;
    /// A table row with the wrong number of columns.
    T006;
    /// A column header without a unit or of an unknown name.
    T007;
    /// A cell that is not a number.
    T008;
    /// A format version this program does not know.
    T009;
    /// A name used twice.
    T010;
    /// A reference to a name that does not exist.
    T011;
    /// A list that is too short.
    T012;
    /// A date or time that cannot be read.
    T013;
    /// No number where a quantity is needed.
    U001;
    /// A number without its unit.
    U002;
    /// A comma that may mean two things.
    U003;
    /// An unknown unit.
    U004;
    /// A unit of another kind.
    U005;
    /// A range written backwards.
    U006;
    /// A number that is not finite.
    U007;
    /// A value outside what is physically possible.
    U008;
    /// Two currencies in one job.
    U009;

    // Envelope test.
    /// Fewer usable stations than the procedure needs.
    E101;
    /// A station pressure that is no number a fan test can have.
    E102;
    /// A flow reading that is no number a fan test can have.
    E103;
    /// The sign of a station's pressure contradicts its direction.
    E104;
    /// No baseline, and the gauge has not taken it out.
    E105;
    /// A baseline on one side of the stations only.
    E106;
    /// A baseline reading that is no number a baseline can have.
    E107;
    /// A size of the building that is not above zero.
    E108;
    /// A fan pressure outside the calibration.
    E109;
    /// A raw fan pressure of a range without a calibration.
    E110;
    /// A calibration that cannot be used.
    E111;
    /// Both directions in one table: worked as two runs.
    E112;
    /// 50 Pa was not reached: the result is extrapolated.
    E113;
    /// A flow exponent outside 0.5 to 1.
    E114;
    /// A temperature was not measured.
    E115;
    /// Neither air pressure nor altitude is known.
    E116;
    /// A condition outside what is physically possible.
    E117;
    /// The flow gauge has no stated accuracy.
    E118;
    /// Stations too close together in pressure for an exponent.
    E119;
    /// The two directions disagree beyond their scatter.
    E120;
    /// A station that a one-point procedure does not use.
    E121;
    /// A stated accuracy that is negative or not finite.
    E122;
}
