//! The report on agreement as JSON.

use serde_json::{Value, json};

use super::super::words::name;
use super::{AgreementReport, meaning};
use crate::people::agreement::{
    AgainstRight, Agreement, Compared, Divided, Estimate, GroupAgreement, Limit, NoFigure,
    PairAgreement, Reader, ReaderAgreement, Repeatability, SMALL_ITEMS, Share, is_small,
};
use crate::reading::pattern::Pattern;
use crate::units::amount::BothWays;

/// One object. What cannot be given is `{"none": "<reason>"}` in its place; shares and coefficients are not
/// rounded.
///
/// # Errors
/// Where it cannot be written as JSON, which no number in it should cause.
pub fn agreement_to_json(report: &AgreementReport) -> serde_json::Result<Vec<u8>> {
    let agreement = &report.agreement;
    let value = json!({
        "schema": 1,
        "title": report.title,
        "facts": report.facts,
        "photos": agreement.items,
        "small": agreement.items < SMALL_ITEMS,
        "right": right(agreement),
        "readers": agreement.readers.iter().map(of_reader).collect::<Vec<_>>(),
        "pairs": agreement.pairs.iter().map(pair).collect::<Vec<_>>(),
        "groups": agreement.groups.iter().map(group).collect::<Vec<_>>(),
        "divided": agreement.divided.iter().map(divided).collect::<Vec<_>>(),
        "limits": {
            "effectiveness": Limit::EFFECTIVENESS,
            "misses": Limit::MISSES,
            "false_alarms": Limit::FALSE_ALARMS,
        },
        "means": meaning::on_top(agreement),
        "problems": report.problems,
    });
    let mut bytes = serde_json::to_vec_pretty(&value)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn right(agreement: &Agreement) -> Value {
    let known = agreement.right.iter();
    let known: Vec<Value> = known
        .map(|(basis, n)| json!({"rests_on": basis, "photos": n}))
        .collect();
    json!({"known": known, "not_known": agreement.not_known()})
}

/// A figure, or the reason in its place.
fn or_reason<T>(of: &Result<T, NoFigure>, value: impl Fn(&T) -> Value) -> Value {
    match of {
        Ok(figure) => value(figure),
        Err(reason) => json!({ "none": reason }),
    }
}

fn who(reader: &Reader) -> String {
    reader.to_string()
}

fn of_reader(r: &ReaderAgreement) -> Value {
    json!({
        "reader": who(&r.reader),
        "program": r.reader == Reader::Program,
        "photos": r.items,
        "calls": r.calls,
        "against_right": or_reason(&r.against_right, against),
        "repeatability": or_reason(&r.repeatability, again),
        "means": meaning::of_reader(r),
    })
}

fn against(a: &AgainstRight) -> Value {
    let mut value = compared(&a.compared);
    value["effectiveness"] = value["agreement"].take();
    if let Some(fields) = value.as_object_mut() {
        fields.remove("agreement");
        fields.remove("opposed");
    }
    value["wrong_way"] = or_reason(&a.wrong_way, share);
    value["misses"] = or_reason(&a.misses, share);
    value["false_alarms"] = or_reason(&a.false_alarms, share);
    value["refused"] = or_reason(&a.refused, share);
    value["judged_the_unreadable"] = or_reason(&a.judged_the_unreadable, share);
    value["changes"] = json!(a.changes.map(|c| json!({
        "compared": c.compared,
        "wrong_sign": c.wrong_sign,
        "median_off": BothWays::from(c.median_off),
    })));
    value
}

fn again(r: &Repeatability) -> Value {
    let mut value = compared(&r.compared);
    value["same"] = share(&r.same);
    value["turned"] = share(&r.turned);
    value
}

fn compared(c: &Compared) -> Value {
    json!({
        "photos": c.items,
        "agreement": share(&c.agreement),
        "opposed": share(&c.opposed),
        "kappa": or_reason(&c.kappa, estimate),
        "weighted_kappa": or_reason(&c.weighted_kappa, estimate),
        "confusion": {
            "patterns": c.confusion.patterns.iter().map(|p| name(*p)).collect::<Vec<_>>(),
            "counts": c.confusion.counts,
        },
    })
}

fn pair(p: &PairAgreement) -> Value {
    json!({
        "readers": p.readers.iter().map(who).collect::<Vec<_>>(),
        "compared": or_reason(&p.compared, compared),
    })
}

fn group(g: &GroupAgreement) -> Value {
    json!({
        "readers": g.readers.iter().map(who).collect::<Vec<_>>(),
        "photos": g.items,
        "called_by_all": g.whole,
        "fleiss_kappa": or_reason(&g.fleiss, estimate),
        "alpha_nominal": or_reason(&g.alpha, estimate),
        "alpha_taper_ordinal": or_reason(&g.alpha_direction, estimate),
    })
}

fn divided(d: &Divided) -> Value {
    let said = |(reader, patterns): &(Reader, Vec<Pattern>)| {
        let patterns: Vec<&str> = patterns.iter().map(|p| name(*p)).collect();
        json!({"reader": who(reader), "called": patterns})
    };
    json!({
        "photo": d.item,
        "right": d.right.map(name),
        "worst": d.worst,
        "calls": d.calls.iter().map(said).collect::<Vec<_>>(),
    })
}

fn share(s: &Share) -> Value {
    json!({
        "count": s.count, "of": s.of, "share": s.value(),
        "low": s.low, "high": s.high, "interval": "wilson",
    })
}

fn estimate(e: &Estimate) -> Value {
    let mut value = json!({"value": e.value, "photos": e.items, "small": is_small(e)});
    match e.interval {
        Ok(i) => {
            value["low"] = json!(i.low);
            value["high"] = json!(i.high);
            value["interval"] = json!(i.method);
        }
        Err(reason) => value["interval"] = json!({ "none": reason }),
    }
    value
}
