//! Every sentence of the program, in every language, and numbers as people read them.
//!
//! The catalogues are Fluent files, `locales/<language>/*.ftl`; all files of a language are one
//! bundle and are compiled in. [`Words`] is a language and a unit system: cheap to copy, it turns
//! keys, diagnostics and estimates into text. A key that a language lacks falls back to English and
//! then to the key itself; tests fail before that can happen.

mod number;
mod show;

pub use number::{MINUS, NBSP};
pub use show::{Show, Shown, ShownRange, Usage};

use engine::diag::{Arg, Diagnostic, Severity};
use engine::units::{Quantity, System, Unit};
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use serde::{Deserialize, Serialize};
use std::sync::OnceLock;
use unic_langid::LanguageIdentifier;

mod catalogues {
    include!(concat!(env!("OUT_DIR"), "/catalogues.rs"));
}

/// A language of the program.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Language {
    /// English.
    #[default]
    En,
    /// Spanish.
    Es,
}

impl Language {
    /// Every language there is.
    pub const ALL: [Language; 2] = [Language::En, Language::Es];

    /// The tag, as HTML's `lang` wants it.
    pub fn tag(self) -> &'static str {
        match self {
            Language::En => "en",
            Language::Es => "es",
        }
    }

    /// The language of a tag such as `es` or `es-MX`, if there is one.
    pub fn from_tag(tag: &str) -> Option<Language> {
        let first = tag.split(['-', '_', '.']).next().unwrap_or(tag);
        Language::ALL.into_iter().find(|l| l.tag().eq_ignore_ascii_case(first))
    }

    /// Name and text of the language's catalogue files.
    pub fn catalogues(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Language::En => catalogues::EN,
            Language::Es => catalogues::ES,
        }
    }

    fn bundle(self) -> &'static FluentBundle<FluentResource> {
        static EN: OnceLock<FluentBundle<FluentResource>> = OnceLock::new();
        static ES: OnceLock<FluentBundle<FluentResource>> = OnceLock::new();
        let cell = match self {
            Language::En => &EN,
            Language::Es => &ES,
        };
        cell.get_or_init(|| {
            let id: LanguageIdentifier = self.tag().parse().unwrap_or_default();
            let mut bundle = FluentBundle::new_concurrent(vec![id]);
            // The marks that isolate right-to-left text would show up in terminals.
            bundle.set_use_isolating(false);
            bundle.set_formatter(Some(match self {
                Language::En => |value, _| plain_number(value, Language::En),
                Language::Es => |value, _| plain_number(value, Language::Es),
            }));
            for (_, text) in self.catalogues() {
                // What can be read of a broken file is used; a test refuses broken files.
                let resource = FluentResource::try_new((*text).to_owned()).unwrap_or_else(|(r, _)| r);
                bundle.add_resource_overriding(resource);
            }
            bundle
        })
    }
}

fn plain_number(value: &FluentValue<'_>, language: Language) -> Option<String> {
    match value {
        FluentValue::Number(n) => {
            let unit = Quantity::Number.display_unit(System::Si);
            let decimals = number::decimals_plain(n.value, unit);
            Some(number::write(n.value, decimals, false, language))
        }
        _ => None,
    }
}

/// A diagnostic in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Message {
    /// What is the matter: one sentence.
    pub text: String,
    /// Why it matters, or the rule behind it.
    pub because: Option<String>,
    /// What to do.
    pub help: Option<String>,
}

/// A language, a unit system and a currency.
#[derive(Clone, Copy, Debug)]
pub struct Words {
    language: Language,
    system: System,
    currency: &'static str,
}

impl Words {
    /// Words of a language with numbers in a unit system.
    pub fn new(language: Language, system: System) -> Words {
        Words { language, system, currency: "USD" }
    }

    /// The same with another currency; unknown ones leave it as it was.
    #[must_use]
    pub fn with_currency(self, symbol: &str) -> Words {
        match engine::units::unit(symbol, Quantity::Money) {
            Some(unit) => Words { currency: unit.symbol, ..self },
            None => self,
        }
    }

    /// The same in another language.
    #[must_use]
    pub fn with_language(self, language: Language) -> Words {
        Words { language, ..self }
    }

    /// The same with numbers in another unit system.
    #[must_use]
    pub fn with_system(self, system: System) -> Words {
        Words { system, ..self }
    }

    /// The language.
    pub fn language(&self) -> Language {
        self.language
    }

    /// The unit system.
    pub fn system(&self) -> System {
        self.system
    }

    /// The text of a key that needs no values.
    pub fn say(&self, key: &str) -> String {
        self.text(key, &[])
    }

    /// The text of a key. `key` may name an attribute: `T001.help`.
    pub fn text(&self, key: &str, args: &[(&str, Arg)]) -> String {
        self.find(key, args).unwrap_or_else(|| key.to_owned())
    }

    /// The text of a key, or nothing where no language has it.
    pub fn find(&self, key: &str, args: &[(&str, Arg)]) -> Option<String> {
        let mut values = FluentArgs::new();
        for (name, arg) in args {
            values.set((*name).to_owned(), self.value(arg));
        }
        [self.language, Language::En].into_iter().find_map(|l| lookup(l, key, &values))
    }

    /// A diagnostic in words.
    pub fn diagnostic(&self, diagnostic: &Diagnostic) -> Message {
        let args: Vec<(&str, Arg)> = diagnostic.args.iter().map(|(n, a)| (*n, a.clone())).collect();
        let code = diagnostic.code.0;
        Message {
            text: self.text(code, &args),
            because: self.find(&format!("{code}.because"), &args),
            help: self.find(&format!("{code}.help"), &args),
        }
    }

    /// The word for a severity.
    pub fn severity(&self, severity: Severity) -> String {
        match severity {
            Severity::Note => self.say("severity-note"),
            Severity::Warning => self.say("severity-warning"),
            Severity::Error => self.say("severity-error"),
        }
    }

    /// The unit numbers of a quantity are shown in.
    pub fn unit_of(&self, quantity: Quantity) -> &'static Unit {
        let usual = quantity.display_unit(self.system);
        match quantity {
            Quantity::Money => engine::units::unit(self.currency, quantity).unwrap_or(usual),
            _ => usual,
        }
    }

    // An empty text reads as the word `none`, which a catalogue can select on; a text that is a key
    // of the catalogue (`quantity-pressure`) is said in the language.
    fn value(&self, arg: &Arg) -> FluentValue<'static> {
        match arg {
            Arg::Number(n) => FluentValue::from(*n),
            Arg::Quantity { si, quantity } => FluentValue::from(self.quantity(*si, *quantity)),
            Arg::Text(text) if text.is_empty() => FluentValue::from("none"),
            Arg::Text(text) => {
                let key = text.replace('_', "-");
                let named = ["quantity-", "kind-"].iter().any(|p| key.starts_with(p));
                let said = named.then(|| self.find(&key, &[])).flatten();
                FluentValue::from(said.unwrap_or_else(|| text.clone()))
            }
        }
    }
}

fn lookup(language: Language, key: &str, args: &FluentArgs<'_>) -> Option<String> {
    let bundle = language.bundle();
    let (id, attribute) = key.split_once('.').map_or((key, None), |(id, a)| (id, Some(a)));
    let message = bundle.get_message(id)?;
    let pattern = match attribute {
        Some(name) => message.get_attribute(name)?.value(),
        None => message.value()?,
    };
    let mut errors = Vec::new();
    Some(bundle.format_pattern(pattern, Some(args), &mut errors).into_owned())
}

#[cfg(test)]
mod tests;
#[cfg(test)]
mod work_tests;
