//! Answers of practice on their way from a phone to an archive. What comes is trusted no further than a form.

use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::Fault;
use super::elsewhere::is_hash;
use crate::people::opinion::{Basis, Call, Truth};
use crate::people::records::{CallKind, FiledCall, Item, Told};

/// Where they lie in the file of checks.
pub(crate) const PART: &str = "practice/calls.json";

const SCHEMA: u32 = 1;

#[derive(Serialize, Deserialize)]
struct File {
    schema: u32,
    /// Each by itself: one that cannot be read keeps none of the others out.
    calls: Vec<Value>,
}

/// As they are written.
#[cfg_attr(not(target_arch = "wasm32"), cfg(test))]
pub(crate) fn written(calls: &[FiledCall]) -> Result<String, serde_json::Error> {
    let calls = calls.iter().map(serde_json::to_value);
    let calls = calls.collect::<Result<_, _>>()?;
    serde_json::to_string(&File {
        schema: SCHEMA,
        calls,
    })
}

/// The answers of such a file; of each that says what no page writes, why.
///
/// # Errors
/// Where it is no such file.
pub(crate) fn parsed(text: &str) -> Result<Vec<Result<FiledCall, Fault>>, Fault> {
    let unknown = || {
        Fault::Unfit(
            "these are no answers of practice that this version knows; a newer version of seepline may have written them"
                .into(),
        )
    };
    let file: File = serde_json::from_str(text).map_err(|_| unknown())?;
    if file.schema != SCHEMA {
        return Err(unknown());
    }
    let one =
        |value| taken_over(serde_json::from_value(value).map_err(|_| unfit("it cannot be read"))?);
    Ok(file.calls.into_iter().map(one).collect())
}

/// As the page would have filed it.
fn taken_over(filed: FiledCall) -> Result<FiledCall, Fault> {
    let Call {
        pattern,
        change,
        by,
        at,
    } = filed.call;
    if by.is_erased() {
        return Err(unfit("nobody has these initials"));
    }
    let call = Call::new(pattern, change, by, at).map_err(|e| unfit(&e.to_string()))?;
    match (filed.kind, &filed.item, filed.session, filed.told) {
        (CallKind::Practice, Item::Photo(hash), Some(_), Some(told))
            if is_hash(hash) && is_of_a_table(&told) => {}
        _ => return Err(unfit("it is of no photo whose truth came with it")),
    }
    Ok(FiledCall {
        revealed: Some(filed.revealed.unwrap_or(at)),
        call,
        ..filed
    })
}

/// A phone knows the truth of the photos that come with its page, and of nothing else.
fn is_of_a_table(told: &Told) -> bool {
    let Truth { change, by, .. } = told.truth;
    let program = told.program.and_then(|answer| answer.change);
    let mut intervals = [change, program].into_iter().flatten();
    by == Basis::Table && intervals.all(|i| i.low <= i.median && i.median <= i.high)
}

fn unfit(why: &str) -> Fault {
    Fault::Unfit(format!(
        "an answer of practice was not taken: {why}; the others are"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::people::opinion::{CalledChange, Person, Question};
    use crate::reading::method::Method;
    use crate::reading::pattern::Pattern;
    use crate::taper::advice::Grip;
    use crate::taper::records::Id;

    fn answer() -> FiledCall {
        let at = jiff::civil::date(2026, 3, 4).at(10, 0, 0, 0);
        let question = Question {
            item: Item::Photo("0a".repeat(32)),
            truth: Truth {
                pattern: Pattern::EdgesOnly,
                change: None,
                by: Basis::Table,
            },
            method: Method::Seep,
            grip: Grip::Outside,
            quality: 1.0,
        };
        let by = Person::parse("AB").unwrap();
        let call = Call::new(Pattern::EdgesOnly, CalledChange::NoChange, by, at).unwrap();
        let id = Id::derived(&["answer"]);
        question.answered(call, Id::derived(&["round"]), None, (id, at))
    }

    /// With another value there, named as JSON Pointer names it (RFC 6901).
    fn saying(place: &str, value: Value) -> Value {
        let mut answer = serde_json::to_value(answer()).unwrap();
        *answer.pointer_mut(place).unwrap() = value;
        answer
    }

    #[test]
    fn what_is_written_comes_back() {
        let text = written(&[answer()]).unwrap();
        assert_eq!(parsed(&text).unwrap(), [Ok(answer())]);
        assert!(
            parsed("{}").is_err() && parsed(&text.replace("\"schema\":1", "\"schema\":2")).is_err()
        );
    }

    #[test]
    fn what_no_page_writes_is_refused_by_itself() {
        for (place, value) in [
            ("/kind", "ruling"),
            ("/kind", "check"),
            ("/by", "#3f2a9c0d"),
            ("/by", "an essay about a jaw"),
            ("/change", "3in"),
            ("/pattern", "tips"),
            ("/item/photo", "../../pairing.key"),
            ("/session", ""),
            ("/told", ""),
            ("/told/truth/by", "ruling"),
        ] {
            let calls = vec![
                saying(place, value.into()),
                saying("/kind", "practice".into()),
            ];
            let text = serde_json::to_string(&File {
                schema: SCHEMA,
                calls,
            })
            .unwrap();
            let [refused, taken] = &parsed(&text).unwrap()[..] else {
                panic!("{place}");
            };
            assert!(matches!(refused, Err(Fault::Unfit(_))), "{place} {value}");
            assert_eq!(taken, &Ok(answer()));
        }
    }
}
