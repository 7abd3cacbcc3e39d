//! Where the procedures' numbers come from.

use serde::Serialize;

/// The id of limits and forms that were recalled and not read in a citable text.
pub const FROM_MEMORY: &str = "from-memory";

/// The source of a requirement that the tester typed and named no text for: none.
pub const TYPED: &str = "";
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
        id: "gum-2008",
        citation: "JCGM 100:2008, Guide to the expression of uncertainty in measurement",
    },
    Source {
        id: "jlc-2012",
        citation: "How-to article comparing the duct limits of the 2009 and 2012 IECC, Journal of Light Construction (secondary)",
    },
    Source { id: "duct-traverse-page", citation: "Public reference page on duct traverses (secondary)" },
    Source {
        id: "ashrae-2021-16-tables",
        citation: "ASHRAE Handbook - Fundamentals 2021 (SI), chapter 16, tables 1-3 and 4-9, eq. 47 and 51",
    },
    Source {
        id: "model-code-62-2",
        citation: "model mechanical code, Appendix E 605.1.3, which credits ASHRAE 62.2 table 4.1a and 4.1.2",
    },
    Source {
        id: "work-specifications-62-2-2013",
        citation: "US Standard Work Specifications, Calculation of the Infiltration Credit (ASHRAE 62.2-2013), 2016",
    },
    Source {
        id: "glossary-62-2-2010",
        citation: "public glossary of construction instruction, ASHRAE 62.2 (editions to 2010)",
    },
    Source {
        id: "ashrae-journal-62-2-existing",
        citation: "ASHRAE Journal, Residential Ventilation for Existing Buildings (62.2-2010, Appendix A)",
    },
    Source {
        id: "epa-62-1999",
        citation: "ASHRAE 62-1999 as the US Environmental Protection Agency quotes it",
    },
    Source {
        id: "walker-wilson-1998",
        citation: "I. S. Walker and D. J. Wilson, HVAC&R Research 4(2), 1998 (LBNL-42361), abstract",
    },
    Source {
        id: "lbnl-ventilation-flows",
        citation: "LBNL, Measuring residential ventilation (hood errors in houses)",
    },
    Source { id: "own-level", citation: "typed by the tester" },
    Source { id: "common-practice", citation: "common practice, no source" },
    Source {
        id: "garage-barrier-guide",
        citation: "Building America Solution Center, Air leakage testing of the garage-house air barrier",
    },
    Source {
        id: "florida-return-air",
        citation: "Florida building code's limit on pressures of closed rooms, as told in a case study on return air, Building America Partnership for Improved Residential Construction",
    },
    Source {
        id: "bpi-1200",
        citation: "ANSI/BPI-1200, combustion appliance inspection (ambient CO table, from a transcription)",
    },
    Source { id: "irc-app-d", citation: "International Residential Code 2018, Appendix D, p. 871-874" },
    Source {
        id: "sws-2-0105-1",
        citation: "Standard Work Specifications 2.0105.1, combustion worker safety (2016 archive)",
    },
    Source {
        id: "irc-2015-app-d",
        citation: "International Residential Code 2015, Appendix D, D.1.2 and D.1.3 (excerpt)",
    },
    Source { id: "resnet-interim-2010", citation: "RESNET Interim Guidelines, 1 September 2010 (excerpt)" },
    Source {
        id: "us-notice-11-6",
        citation: "US Weatherization Program Notice 11-6, health and safety categories",
    },
    Source {
        id: "advisor-vermiculite",
        citation: "Procedure for vermiculite of Canadian energy advisors, as a training text gives it; a US weatherisation programme's chapter on air leakage (pressurisation instead)",
    },
    Source {
        id: "us-lead-rule",
        citation: "US Environmental Protection Agency, renovation of houses built before 1978: more than 6 ft2 a room inside, more than 20 ft2 outside in all, or any window",
    },
    Source {
        id: "state-programme-combustion",
        citation: "Combustion testing rules of a US state programme (secondary): again at the end of each day on which shell or heating and cooling were altered",
    },
    Source {
        id: "greatest-depressurisation",
        citation: "older BPI combustion test sheet and step checklist: exhausts on, doors by smoke, air handler kept on only where the zone falls further",
    },
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

/// The citation of this id; the text itself where it is the user's own words.
pub fn cite(id: &str) -> &str {
    source(id).map_or(id, |s| s.citation)
}
