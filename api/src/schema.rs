//! What is published about documents and answers: JSON Schemas and the table of units.

use crate::Request;
use engine::units::{Quantity, System, UNITS};
use serde_json::{Value, json};

/// Schemas of requests and answers, and the table of display units.
pub(crate) fn all() -> Value {
    let display: Vec<Value> = Quantity::all()
        .into_iter()
        .map(|q| {
            let unit = |system| {
                let u = q.display_unit(system);
                json!({ "symbol": u.symbol, "ucum": u.ucum, "factor": u.factor, "offset": u.offset })
            };
            json!({
                "quantity": q,
                "si": q.si_symbol(),
                "SI": unit(System::Si),
                "IP": unit(System::Ip),
                "each": UNITS.iter().filter(|u| u.quantity == q)
                    .map(|u| json!({ "symbol": u.symbol, "ucum": u.ucum, "factor": u.factor, "offset": u.offset }))
                    .collect::<Vec<_>>(),
                "understood": UNITS.iter().filter(|u| u.quantity == q)
                    .flat_map(|u| std::iter::once(u.symbol).chain(u.spellings.iter().copied()))
                    .collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({
        "request": schemars::schema_for!(Request),
        "envelope": envelope(),
        "number": number(),
        "intake_mapping": mapping(),
        "units": display,
    })
}

/// The document `intake/<instrument>.toml`.
fn mapping() -> Value {
    use crate::intake::{mapping::DELIMITERS, text::ENCODINGS, time::FORMS};
    let names = |list: Vec<&'static str>| json!({ "enum": list });
    let quantities = Quantity::all();
    let text = json!({ "type": "string" });
    let texts = json!({ "type": "array", "items": { "type": "string" } });
    let line = json!({ "type": "integer", "minimum": 0 });
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "how files of one instrument are read",
        "type": "object",
        "required": ["format", "kind", "column"],
        "properties": {
            "format": { "const": engine::doc::FORMAT },
            "zone": text,
            "kind": { "enum": ["table", "json lines", "senml", "bthome"] },
            "encoding": names(ENCODINGS.iter().map(|(n, _)| *n).collect()),
            "delimiter": names(DELIMITERS.iter().map(|(n, _)| *n).collect()),
            "decimal": { "enum": ["point", "comma"] },
            "header_row": line,
            "first_row": line,
            "header_short": { "type": "boolean" },
            "payload": text,
            "device": text,
            "missing": texts,
            "time": {
                "type": "object",
                "required": ["from", "written"],
                "properties": {
                    "from": { "anyOf": [text, texts] },
                    "written": names(FORMS.iter().map(|(n, _)| *n).collect()),
                    "clock": text,
                    "start": text,
                },
            },
            "column": {
                "type": "object",
                "additionalProperties": {
                    "type": "object",
                    "required": ["from", "quantity", "unit"],
                    "properties": { "from": text, "quantity": { "enum": quantities }, "unit": text },
                },
            },
            "derived": {
                "type": "object",
                "additionalProperties": {
                    "type": "object",
                    "required": ["from", "correction"],
                    "properties": {
                        "from": text,
                        "correction": { "enum": ["particles", "pressure", "two points", "zero"] },
                        "publication": {
                            "enum": engine::series::correct::PARTICLES.iter().map(|p| p.id).collect::<Vec<_>>(),
                        },
                        "rh": text,
                        "pressure": text,
                        "calibrated_at": text,
                        "shows": { "anyOf": [text, texts] },
                        "truth": { "anyOf": [text, texts] },
                    },
                },
            },
        },
    })
}

fn number() -> Value {
    let mut units: Vec<&str> = Quantity::all().into_iter().map(Quantity::si_symbol).collect();
    // A check of a test knows one unit that no quantity has: height times temperature difference.
    units.push("m K");
    units.sort_unstable();
    units.dedup();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "a number with its interval, always SI",
        "type": "object",
        "required": ["value", "unit", "lo", "hi"],
        "properties": {
            "value": { "type": ["number", "null"] },
            "unit": { "enum": units },
            "lo": { "type": ["number", "null"] },
            "hi": { "type": ["number", "null"] },
            "level": { "type": "number", "description": "probability that the true value lies inside" },
            "reason": { "type": "string", "description": "why there is no interval or no value" },
        },
    })
}

/// What every part of an answer is made of: any JSON, but what has the keys of a number with its interval
/// is one.
fn any() -> Value {
    json!({
        "if": { "type": "object", "required": ["value", "unit", "lo", "hi"] },
        "then": { "$ref": "#/$defs/number" },
        "else": {
            "additionalProperties": { "$ref": "#/$defs/any" },
            "items": { "$ref": "#/$defs/any" },
        },
    })
}

/// The results of an answer.
fn data() -> Value {
    let any = json!({ "$ref": "#/$defs/any" });
    let number = json!({ "$ref": "#/$defs/number" });
    let text = json!({ "type": "string" });
    let part = json!({ "allOf": [{ "type": "object" }, any.clone()] });
    let stated = json!({
        "type": "object",
        "required": ["total", "scatter"],
        "properties": { "total": number.clone(), "scatter": number.clone() },
    });
    let run = json!({
        "type": "object",
        "required": ["run", "direction", "baseline", "exponent", "coefficient", "figures", "stations", "checks"],
        "properties": {
            "run": { "type": "integer", "minimum": 1 },
            "direction": { "enum": ["depressurise", "pressurise"] },
            "exponent": stated.clone(),
            "coefficient": stated.clone(),
            "stations": { "type": "array", "items": {
                "type": "object",
                "required": ["station", "dp_pa", "flow_m3_s", "fitted_m3_s", "residual_percent"],
                "additionalProperties": { "type": "number" },
            } },
        },
        "additionalProperties": any.clone(),
    });
    let result = json!({
        "type": "object",
        "required": ["visit", "result", "comparison"],
        "properties": {
            "visit": text.clone(),
            "result": {
                "type": "object",
                "required": ["name", "profile", "standard", "runs", "exponent", "figures", "checks"],
                "properties": {
                    "name": text.clone(),
                    "profile": text.clone(),
                    "standard": text.clone(),
                    "runs": { "type": "array", "minItems": 1, "items": run },
                    "exponent": stated,
                },
                "additionalProperties": any.clone(),
            },
            "comparison": any.clone(),
        },
        "additionalProperties": false,
    });
    let figure = json!({
        "type": "object",
        "required": ["id", "number"],
        "properties": { "id": text.clone(), "of": text.clone(), "number": number },
        "additionalProperties": false,
    });
    let field = json!({
        "type": "object",
        "required": ["visit", "name", "kind", "figures", "checks", "notes", "detail"],
        "properties": {
            "visit": text.clone(),
            "name": text.clone(),
            "kind": { "enum": engine::doc::field::KINDS.iter().map(|k| k.0).collect::<Vec<_>>() },
            "figures": { "type": "array", "items": figure },
            "checks": { "type": "array", "items": {
                "type": "object",
                "required": ["id", "value", "lo", "hi", "verdict", "source", "confirmed"],
                "additionalProperties": any.clone(),
            } },
            "note": text.clone(),
        },
        "additionalProperties": any.clone(),
    });
    json!({
        // Nothing where a command could not do what it was asked.
        "type": ["object", "null"],
        "properties": {
            "job": { "type": ["string", "object", "null"] },
            "inputs": { "type": "string", "pattern": "^[0-9a-f]{16}$" },
            "results": { "type": "array", "items": result },
            "field": { "type": "array", "items": field },
            "fit": part,
            "plans": part,
            "rooms": { "type": "array", "items": part },
            "next": part,
            "rules": part,
            "import": part,
            "watch": part,
            "findings": part,
            "practice": part,
            "exported": {
                "type": "object",
                "required": ["form", "count", "without"],
                "properties": {
                    "form": { "enum": crate::exchange::Form::CHOICES.map(|c| c.0) },
                    "count": { "type": "integer", "minimum": 0 },
                    "without": { "type": "array", "items": text },
                },
                "additionalProperties": false,
            },
        },
        "additionalProperties": any,
    })
}

fn envelope() -> Value {
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "the envelope of every answer",
        "type": "object",
        "required": ["schema", "version", "diagnostics", "data"],
        "properties": {
            "schema": { "const": crate::SCHEMA },
            "version": { "type": "string" },
            "diagnostics": {
                "type": "array",
                "items": {
                    "type": "object",
                    "required": ["code", "severity", "text"],
                    "properties": {
                        "code": { "type": "string" },
                        "severity": { "enum": ["note", "warning", "error"] },
                        "file": { "type": ["string", "null"] },
                        "line": { "type": ["integer", "null"] },
                        "column": { "type": ["integer", "null"] },
                        "args": { "type": "object" },
                        "text": { "type": "string" },
                        "because": { "type": ["string", "null"] },
                        "help": { "type": ["string", "null"] },
                    },
                },
            },
            "data": data(),
        },
        "$defs": { "any": any(), "number": number() },
    })
}
