//! JSON Schema, as far as `openapi.json` uses it (draft 2020-12, “Validation” and “Core”). A keyword that is not
//! known here fails the test, so that nothing that is described goes unchecked.

use serde_json::{Map, Value};

/// Schemas of one document, which refer to each other.
pub(crate) struct Schemas<'a>(pub(crate) &'a Value);

impl Schemas<'_> {
    /// What does not fit, and where.
    pub(crate) fn faults(&self, schema: &Value, value: &Value) -> Vec<String> {
        let mut faults = Vec::new();
        self.check(schema, value, "", &mut faults);
        faults
    }

    fn check(&self, schema: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
        let keywords = match schema {
            Value::Object(keywords) => keywords,
            Value::Bool(true) => return,
            _ => return faults.push(format!("nothing may be at {at}")),
        };
        for (keyword, said) in keywords {
            let fits = match keyword.as_str() {
                // For people, and for what is no JSON.
                "description" | "format" => true,
                "type" => {
                    let types = said
                        .as_array()
                        .map_or(std::slice::from_ref(said), Vec::as_slice);
                    types.iter().any(|t| is_of(value, text(t)))
                }
                "const" => value == said,
                "enum" => list(said).contains(value),
                "pattern" => value.as_str().is_none_or(|t| is_hexadecimal(t, text(said))),
                "minimum" => value.as_f64().is_none_or(|v| v >= number(said)),
                "maximum" => value.as_f64().is_none_or(|v| v <= number(said)),
                "minLength" => length(value).is_none_or(|n| n as f64 >= number(said)),
                "maxLength" => length(value).is_none_or(|n| n as f64 <= number(said)),
                "minItems" => items(value).is_none_or(|i| i.len() as f64 >= number(said)),
                "maxItems" => items(value).is_none_or(|i| i.len() as f64 <= number(said)),
                "required" => value.as_object().is_none_or(|o| {
                    let mut names = list(said).iter();
                    names.all(|name| o.contains_key(text(name)))
                }),
                "anyOf" => self.fitting(said, value) > 0,
                "oneOf" => self.fitting(said, value) == 1,
                _ => {
                    self.descend(keyword, said, keywords, value, at, faults);
                    true
                }
            };
            if !fits {
                faults.push(format!("{keyword} {said} at {at}: {value}"));
            }
        }
    }

    /// How many of the schemas the value fits.
    fn fitting(&self, schemas: &Value, value: &Value) -> usize {
        let fits = |schema: &&Value| self.faults(schema, value).is_empty();
        list(schemas).iter().filter(fits).count()
    }

    /// Keywords that lead to other schemas, or to parts of the value.
    fn descend(
        &self,
        keyword: &str,
        said: &Value,
        keywords: &Map<String, Value>,
        value: &Value,
        at: &str,
        faults: &mut Vec<String>,
    ) {
        let described = |name: &str| {
            let properties = keywords.get("properties");
            properties.is_some_and(|p| p.get(name).is_some())
        };
        let fields = value.as_object().into_iter().flatten();
        match keyword {
            "$ref" => {
                let place = text(said).strip_prefix('#').expect("in this document");
                let schema = self.0.pointer(place).unwrap_or_else(|| panic!("{place}"));
                self.check(schema, value, at, faults);
            }
            "properties" => {
                for (name, part) in fields.filter(|(name, _)| described(name)) {
                    self.check(&said[name], part, &format!("{at}/{name}"), faults);
                }
            }
            "additionalProperties" => {
                for (name, part) in fields.filter(|(name, _)| !described(name)) {
                    self.check(said, part, &format!("{at}/{name}"), faults);
                }
            }
            "items" => {
                for (index, item) in items(value).into_iter().flatten().enumerate() {
                    self.check(said, item, &format!("{at}/{index}"), faults);
                }
            }
            _ => panic!("{keyword} is not known here; add it"),
        }
    }
}

fn is_of(value: &Value, kind: &str) -> bool {
    match kind {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "number" => value.is_number(),
        // A number without a fraction, however it is written.
        "integer" => value.as_f64().is_some_and(|v| v.fract() == 0.0),
        _ => panic!("{kind} is no type"),
    }
}

/// The one kind of pattern that is used: so many digits.
fn is_hexadecimal(value: &str, pattern: &str) -> bool {
    let count = pattern
        .strip_prefix("^[0-9a-f]{")
        .and_then(|p| p.strip_suffix("}$"));
    let count: usize = count
        .and_then(|c| c.parse().ok())
        .unwrap_or_else(|| panic!("{pattern}"));
    let digit = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
    value.len() == count && value.bytes().all(digit)
}

fn text(said: &Value) -> &str {
    said.as_str().expect("text")
}

fn number(said: &Value) -> f64 {
    said.as_f64().expect("a number")
}

fn list(said: &Value) -> &[Value] {
    said.as_array().expect("a list")
}

fn items(value: &Value) -> Option<&Vec<Value>> {
    value.as_array()
}

fn length(value: &Value) -> Option<usize> {
    value.as_str().map(|t| t.chars().count())
}

#[test]
fn what_does_not_fit_is_said_by_its_place() {
    let document = serde_json::json!({ "components": { "schemas": {
        "Set": { "type": "object", "required": ["id"], "additionalProperties": false, "properties": {
            "id": { "type": "string", "pattern": "^[0-9a-f]{4}$" },
            "jaws": { "type": ["integer", "null"], "minimum": 1, "maximum": 6 },
            "tips": { "type": "array", "maxItems": 2, "items": { "enum": ["up", "down"] } },
            "change": { "anyOf": [{ "type": "null" }, { "const": "none" }] },
        } } } } });
    let schema = serde_json::json!({ "$ref": "#/components/schemas/Set" });
    let faults = |value: Value| Schemas(&document).faults(&schema, &value).len();
    for (value, expected) in [
        (serde_json::json!({ "id": "00af" }), 0),
        (
            serde_json::json!({ "id": "00af", "jaws": 3.0, "tips": ["up"], "change": null }),
            0,
        ),
        (serde_json::json!([]), 1),
        (serde_json::json!({}), 1),
        (serde_json::json!({ "id": "00AF" }), 1),
        (serde_json::json!({ "id": "00af", "more": 1 }), 1),
        (serde_json::json!({ "id": "00af", "jaws": 7 }), 1),
        (serde_json::json!({ "id": "00af", "jaws": 2.5 }), 1),
        (
            serde_json::json!({ "id": "00af", "tips": ["up", "north", "down"] }),
            2,
        ),
        (serde_json::json!({ "id": "00af", "change": "some" }), 1),
    ] {
        assert_eq!(faults(value.clone()), expected, "{value}");
    }
}
