//! The schema as JSON Schema (draft 2020-12), for editors.

use super::{CASE, Key, Kind, Limits, Need, Table};
use serde_json::{Map, Value, json};

/// JSON Schema of a case file. It knows keys, types and words; units and physics are left to `panelwright check`.
pub fn json_schema() -> String {
    let mut schema = table(&CASE);
    schema.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    schema.insert("title".into(), json!("panelwright case"));
    let mut text =
        serde_json::to_string_pretty(&Value::Object(schema)).expect("a tree of plain values always prints");
    text.push('\n');
    text
}

fn table(table: &Table) -> Map<String, Value> {
    let properties: Map<_, _> = table.keys.iter().map(|k| (k.name.to_owned(), property(k))).collect();
    let required: Vec<_> = table.keys.iter().filter(|k| k.need == Need::Required).map(|k| k.name).collect();
    let mut object = Map::new();
    object.insert("type".into(), json!("object"));
    object.insert("description".into(), json!(table.about));
    object.insert("additionalProperties".into(), json!(false));
    object.insert("properties".into(), Value::Object(properties));
    if !required.is_empty() {
        object.insert("required".into(), json!(required));
    }
    object
}

fn property(key: &Key) -> Value {
    let mut schema = match &key.kind {
        Kind::Text => json!({ "type": "string" }),
        Kind::Choice(words) => json!({ "enum": words }),
        Kind::Quantity(..) => json!({ "type": "string", "pattern": "^\\s*[+\\-−]?\\.?[0-9]" }),
        Kind::Number(limits) => number("number", *limits),
        Kind::Count(limits) => number("integer", *limits),
        Kind::Position => {
            json!({ "type": "array", "items": { "type": "string" }, "minItems": 2, "maxItems": 2 })
        }
        Kind::Points => {
            let point =
                json!({ "type": "array", "items": { "type": "string" }, "minItems": 2, "maxItems": 2 });
            json!({ "type": "array", "items": point, "minItems": 3 })
        }
        Kind::Table(inner) => Value::Object(table(inner)),
        Kind::Tables(inner) => json!({ "type": "array", "items": table(inner) }),
        Kind::OneOrMore(inner) => {
            json!({ "anyOf": [table(inner), { "type": "array", "items": table(inner) }] })
        }
        Kind::TextOrTable(inner) => json!({ "anyOf": [{ "type": "string" }, table(inner)] }),
        Kind::ChoiceOrTable(words, inner) => json!({ "anyOf": [{ "enum": words }, table(inner)] }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Plain => plain(),
        Kind::Plains => json!({ "type": "array", "items": plain(), "minItems": 1 }),
        Kind::Biquads => {
            let five =
                json!({ "type": "array", "items": { "type": "number" }, "minItems": 5, "maxItems": 5 });
            json!({ "type": "array", "items": five, "minItems": 1 })
        }
        Kind::Curve(limits) => {
            let pair = json!({ "type": "array", "minItems": 2, "maxItems": 2 });
            json!({ "anyOf": [number("number", *limits), { "type": "array", "items": pair, "minItems": 1 }] })
        }
    };
    describe(key, &mut schema);
    schema
}

fn plain() -> Value {
    json!({ "anyOf": [{ "type": "string" }, { "type": "number" }, { "type": "boolean" }] })
}

fn describe(key: &Key, schema: &mut Value) {
    schema["description"] = json!(format!("{} Such as {}.", key.about, key.example));
    if let Need::Default(text) = key.need {
        let bare = matches!(key.kind, Kind::Number(_) | Kind::Count(_) | Kind::Curve(_));
        let number = text.parse::<f64>().ok().filter(|_| bare);
        schema["default"] = number.map_or_else(|| json!(text), |n| json!(n));
    }
}

fn number(kind: &str, limits: Limits) -> Value {
    let low = if limits.above { "exclusiveMinimum" } else { "minimum" };
    json!({ "type": kind, low: limits.low, "maximum": limits.high })
}
