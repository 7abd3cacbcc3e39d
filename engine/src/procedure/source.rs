//! Where the procedures' numbers come from.

use serde::Serialize;

/// The id of limits and forms that were recalled and not read in a citable text.
pub const FROM_MEMORY: &str = "from-memory";

/// The id of rules of the trade that no citable text was found for.
pub const COMMON_PRACTICE: &str = "common-practice";

/// One text that a rule or a formula rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Source {
    /// Stable id.
    pub id: &'static str,
    /// Citation.
    pub citation: &'static str,
}

/// Every text the procedures cite.
pub const SOURCES: &[Source] = &[
    Source { id: FROM_MEMORY, citation: "recalled, not read in the text of the standard" },
    Source { id: COMMON_PRACTICE, citation: "common practice, no source" },
    Source {
        id: "time-constants",
        citation: "95 % of a step is reached after -ln 0.05 = 3.0 time constants",
    },
    Source {
        id: "batterman-2017",
        citation: "S. Batterman, Review and extension of CO2-based methods to determine ventilation rates, Int. J. Environ. Res. Public Health 14(2) 145, 2017",
    },
    Source {
        id: "persily-de-jonge-2017",
        citation: "A. Persily and L. de Jonge, Carbon dioxide generation rates for building occupants, Indoor Air 27, 868-879, 2017",
    },
    Source {
        id: "roulet-2008",
        citation: "C.-A. Roulet, Ventilation and Airflow in Buildings, Earthscan 2008, p. 65-66 and 148-150",
    },
    Source {
        id: "uk-tsl1-2010",
        citation: "UK technical standard for air-tightness testing of dwellings TSL1, October 2010, Appendix A",
    },
    Source {
        id: "passivhaus-checklist",
        citation: "Passivhaus knowledge base, checklist for test reports of airtightness measurements (ISO 9972 method 1)",
    },
    Source { id: "due-2019", citation: "L. Due, New ISO 9972 and use in Denmark, BUILDAIR 2019" },
    Source {
        id: "ashrae-2021-16",
        citation: "ASHRAE Handbook - Fundamentals 2021 (SI), chapter 16, eq. 40-46",
    },
    Source {
        id: "kalamees-timber-houses",
        citation: "T. Kalamees et al., indoor humidity loads of 101 timber-frame houses in a cold climate (abstract)",
    },
    Source {
        id: "ashrae-160-2009",
        citation: "ANSI/ASHRAE Standard 160-2009, 30-day criterion (as told in ASTM STP1599; superseded)",
    },
    Source {
        id: "ashrae-160-2016-e",
        citation: "ANSI/ASHRAE Standard 160-2016 addendum e, mould index below 3 (as recalled)",
    },
    Source {
        id: "gum-2008",
        citation: "JCGM 100:2008, Guide to the expression of uncertainty in measurement",
    },
];

/// The source of this id.
///
/// ```
/// use engine::procedure::source::source;
/// assert!(source("ashrae-2021-16").is_some());
/// ```
pub fn source(id: &str) -> Option<&'static Source> {
    SOURCES.iter().find(|s| s.id == id)
}
