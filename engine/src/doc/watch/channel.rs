//! `[alert.NAME]`: who is told of what the watch finds, and how.

use super::{Address, PASSWORD, Secret, TOKEN, address, secret, url};
use crate::diag::{Diagnostic, code};
use crate::doc::Sp;
use crate::doc::read::Tab;

/// Encryption of a mail server's connection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MailTls {
    /// From the first byte (port 465).
    Whole,
    /// After `STARTTLS`, which must succeed.
    Starts,
    /// None; on this machine only.
    None,
}

/// A mail server and who gets mail.
#[derive(Clone, Debug, PartialEq)]
pub struct Mail {
    /// The server.
    pub server: Sp<Address>,
    /// Encryption.
    pub tls: MailTls,
    /// A file with the authority's certificate (PEM), where it is not one that the system knows.
    pub authority: Option<Sp<String>>,
    /// Sender.
    pub from: Sp<String>,
    /// Receivers; at least one.
    pub to: Vec<Sp<String>>,
    /// User and where the password is.
    pub user: Option<(Sp<String>, Option<Secret>)>,
}

/// How somebody is told.
#[derive(Clone, Debug, PartialEq)]
pub enum By {
    /// By e-mail.
    Mail(Box<Mail>),
    /// By a JSON document posted to an address.
    Webhook {
        /// The address.
        url: Sp<String>,
        /// What is shown there.
        token: Option<Secret>,
    },
    /// By a JSON document published at a broker.
    Mqtt {
        /// Name of the broker's table.
        broker: Sp<String>,
        /// The topic.
        topic: Sp<String>,
    },
}

/// One channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Alert {
    /// The name of its table.
    pub name: Sp<String>,
    /// How.
    pub by: By,
}

pub(super) fn alert((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Alert> {
    #[derive(Clone, Copy)]
    enum Kind {
        Mail,
        Webhook,
        Mqtt,
    }
    let kinds = [("mail", Kind::Mail), ("webhook", Kind::Webhook), ("mqtt", Kind::Mqtt)];
    let Some(kind) = t.need("by", t.choice("by", &kinds)) else {
        t.leave_alone();
        return None;
    };
    let by = match kind.value {
        Kind::Mail => By::Mail(Box::new(mail(t)?)),
        Kind::Webhook => {
            let token = secret(t, TOKEN);
            By::Webhook { url: t.need("url", url(t, "url"))?, token }
        }
        Kind::Mqtt => {
            let (broker, topic) = (t.need("broker", t.text("broker")), t.need("topic", t.text("topic")));
            let topic = topic?;
            if topic.value.is_empty() || topic.value.contains(['+', '#', '\0']) {
                let found = topic.value.as_str();
                t.say(Diagnostic::error(code::L135).at(topic.span.clone()).arg("found", found));
                return None;
            }
            By::Mqtt { broker: broker?, topic }
        }
    };
    Some(Alert { name: name.clone(), by })
}

/// Whether a text can be a mail address: a part before and a host behind one `@`, nothing that
/// could end a line of the message's head.
fn is_mail_address(text: &str) -> bool {
    let plain = |c: char| c.is_ascii_graphic() && !matches!(c, '<' | '>' | ',' | ';' | ':' | '"' | '(' | ')');
    text.split_once('@').is_some_and(|(who, host)| {
        !who.is_empty() && !host.is_empty() && !host.contains('@') && text.chars().all(plain)
    })
}

fn mail(t: &Tab<'_, '_>) -> Option<Mail> {
    let server = t.need("server", address(t, "server"));
    let choices = [("whole", MailTls::Whole), ("starttls", MailTls::Starts), ("none", MailTls::None)];
    let tls = t.choice("tls", &choices).map_or(MailTls::Starts, |c| c.value);
    let authority = t.text("authority");
    let from = t.need("from", t.text("from"));
    let to = t.text_or_texts("to");
    if to.is_empty() {
        t.need::<()>("to", None);
    }
    let password = secret(t, PASSWORD);
    let user = t.text("user").map(|user| (user, password));
    let (server, from) = (server?, from?);
    let mut good = !to.is_empty();
    for one in to.iter().chain([&from]).filter(|a| !is_mail_address(&a.value)) {
        t.say(Diagnostic::error(code::L144).at(one.span.clone()).arg("found", one.value.as_str()));
        good = false;
    }
    if tls == MailTls::None && !server.value.is_here() {
        t.say(Diagnostic::error(code::L145).at(server.span.clone()).arg("found", server.value.host.as_str()));
        good = false;
    }
    good.then_some(Mail { server, tls, authority, from, to, user })
}
