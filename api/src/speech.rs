//! In which language and units something is said, where that is not what the job says.

use engine::units::System;
use report::words::{Language, Words};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A language and units; what is left out, or is none of the program's, is as the job says.
///
/// On a screen it is what the device is set to, whatever the job is written in. A document that leaves has
/// one of its own ([`Written`](crate::Written)).
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Speech {
    /// Language tag, such as `es` or `es-MX`.
    #[serde(default)]
    pub language: Option<String>,
    /// Unit system, `IP` or `SI`.
    #[serde(default)]
    pub system: Option<String>,
}

impl Speech {
    /// Words of a job, said in this language and these units.
    pub(crate) fn over(&self, words: Words) -> Words {
        let language = self.language.as_deref().and_then(|tag| Language::from_tag(tag.trim()));
        let words = language.map_or(words, |l| words.with_language(l));
        self.system().map_or(words, |s| words.with_system(s))
    }

    /// The same in the units of whoever is asked: digits typed into a field keep theirs.
    pub(crate) fn in_language(&self) -> Speech {
        Speech { language: self.language.clone(), system: None }
    }

    fn system(&self) -> Option<System> {
        match self.system.as_deref()?.trim().to_ascii_uppercase().as_str() {
            "IP" => Some(System::Ip),
            "SI" => Some(System::Si),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_said_is_as_the_job_says() {
        let job = Words::new(Language::Es, System::Si).with_currency("EUR");
        let said = |language: Option<&str>, system: Option<&str>| {
            let of = Speech { language: language.map(str::to_owned), system: system.map(str::to_owned) };
            let words = of.over(job);
            (words.language(), words.system(), words.unit_of(engine::units::Quantity::Money).symbol)
        };
        assert_eq!(said(None, None), (Language::Es, System::Si, "EUR"));
        assert_eq!(said(Some("en-US"), None), (Language::En, System::Si, "EUR"));
        assert_eq!(said(Some("fr"), Some("ip")), (Language::Es, System::Ip, "EUR"));
    }
}
