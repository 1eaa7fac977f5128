//! What must be alike for two checks to speak of the same needed taper and the same threshold.

use super::compliance::Compliance;
use crate::reading::method::Method;
use crate::taper::records::{Cut, Difference, FiledCheck, Mounting};
use crate::units::Pressure;

/// Under what a check was made. Unknown values differ from nothing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Conditions {
    /// Chuck pressure at the check.
    pub pressure: Option<Pressure>,
    /// Chuck pressure while boring the cut that is checked.
    pub boring_pressure: Option<Pressure>,
    /// Seep-in or transfer.
    pub method: Method,
    /// As the shop writes it.
    pub compound: Option<String>,
    /// Where the set sits.
    pub mounting: Mounting,
}

/// What an earlier check's needed taper is to a later one's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Needed {
    Same,
    /// The later one needs this much more.
    Moved {
        by_um: f64,
        sd_um: f64,
    },
    Another,
}

impl Conditions {
    /// Of a filed check.
    pub fn of(cut: &Cut, check: &FiledCheck) -> Self {
        Self {
            pressure: check.pressure,
            boring_pressure: cut.boring_pressure,
            method: check.method,
            compound: check.compound.clone(),
            mounting: check.mounting.clone(),
        }
    }

    /// Clamping less boring pressure, in pascals, where both are known.
    pub fn pressure_step_pa(&self) -> Option<f64> {
        Some(self.pressure?.pascals() - self.boring_pressure?.pascals())
    }

    /// What changed since `earlier`, where both say it.
    pub fn differences_from(&self, earlier: &Self) -> Vec<Difference> {
        let mut all = Vec::new();
        let pressures = [
            ("pressure", earlier.pressure, self.pressure),
            (
                "boring pressure",
                earlier.boring_pressure,
                self.boring_pressure,
            ),
        ];
        for (what, before, now) in pressures {
            if let (Some(was), Some(is)) = (before, now)
                && !is.is_same_as(was)
            {
                all.extend(difference(what, before, now));
            }
        }
        all.extend(self.mounting.differences_from(&earlier.mounting));
        if !self.same_compound(earlier) {
            all.extend(difference(
                "compound",
                earlier.compound.as_ref(),
                self.compound.as_ref(),
            ));
        }
        if self.method != earlier.method {
            let (before, now) = (earlier.method.word(), self.method.word());
            all.extend(difference("method", Some(before), Some(now)));
        }
        all
    }

    pub(super) fn needed_since(&self, earlier: &Self, compliance: Option<&Compliance>) -> Needed {
        // Before the pressure: a compliance is of jaws that sit as they sat.
        if !self.mounting.differences_from(&earlier.mounting).is_empty() {
            return Needed::Another;
        }
        // The jaws spring by what clamping adds to boring, so the two moves subtract.
        let moves = [
            (earlier.pressure, self.pressure),
            (earlier.boring_pressure, self.boring_pressure),
        ]
        .map(|(before, now)| Move::between(before, now));
        let step_pa = moves[0].by_pa - moves[1].by_pa;
        // Read on the same gauge: the larger of the two moves is known no better than this.
        if step_pa.abs() <= moves[0].read_to_pa.max(moves[1].read_to_pa) {
            return Needed::Same;
        }
        compliance.map_or(Needed::Another, |c| Needed::Moved {
            by_um: c.um_per_pascal() * step_pa,
            sd_um: c.sd_of_a_move_um(step_pa),
        })
    }

    pub(super) fn same_threshold(&self, earlier: &Self) -> bool {
        self.method == earlier.method && self.same_compound(earlier)
    }

    fn same_compound(&self, earlier: &Self) -> bool {
        let either_unknown = self.compound.is_none() || earlier.compound.is_none();
        either_unknown || super::same_words(self.compound.as_deref(), earlier.compound.as_deref())
    }
}

/// How far a pressure moved, and what of it the gauge tells no more.
struct Move {
    by_pa: f64,
    read_to_pa: f64,
}

impl Move {
    /// None where either is unknown.
    fn between(before: Option<Pressure>, now: Option<Pressure>) -> Self {
        let known = before.zip(now);
        let by_pa = known.map_or(0.0, |(b, n)| n.pascals() - b.pascals());
        let read_to_pa = known.map_or(0.0, |(b, n)| n.max(b).read_to_pascals());
        Self { by_pa, read_to_pa }
    }
}

fn difference<T: ToString>(
    what: &'static str,
    before: Option<T>,
    now: Option<T>,
) -> Option<Difference> {
    Some(Difference {
        what,
        before: before?.to_string(),
        now: now?.to_string(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(pressure: &str, boring: &str) -> Conditions {
        Conditions {
            pressure: pressure.parse().ok(),
            boring_pressure: boring.parse().ok(),
            ..Conditions::default()
        }
    }

    #[test]
    fn the_same_step_of_pressure_needs_the_same_taper() {
        let (a, b) = (at("300psi", "100psi"), at("400psi", "200psi"));
        assert_eq!(b.needed_since(&a, None), Needed::Same);
        assert_eq!(
            at("400psi", "100psi").needed_since(&a, None),
            Needed::Another
        );
        assert_eq!(at("", "").needed_since(&a, None), Needed::Same);
    }

    /// As for boring again: 1 % of the larger, at any pressure.
    #[test]
    fn what_a_gauge_does_not_tell_is_no_step() {
        let a = at("300psi", "100psi");
        for (pressure, same) in [("302psi", true), ("298psi", true), ("306psi", false)] {
            let now = at(pressure, "100psi");
            assert_eq!(
                now.needed_since(&a, None) == Needed::Same,
                same,
                "{pressure}"
            );
            assert_eq!(now.differences_from(&a).is_empty(), same, "{pressure}");
        }
        let bored = at("300psi", "120psi").differences_from(&a);
        assert_eq!((bored.len(), bored[0].what), (1, "boring pressure"));
        // Half a psi of 20 is more than a gauge is off.
        let low = at("20psi", "");
        let now = at("20.5psi", "");
        assert_eq!(now.needed_since(&low, None), Needed::Another);
        assert_eq!(now.differences_from(&low)[0].what, "pressure");
    }

    #[test]
    fn another_machine_needs_another_taper_but_keeps_the_threshold() {
        let on = |machine: &str| Conditions {
            mounting: Mounting {
                machine: Some(machine.into()),
                ..Mounting::default()
            },
            ..Conditions::default()
        };
        assert_eq!(
            on("south lathe").needed_since(&on("north lathe"), None),
            Needed::Another
        );
        assert!(on("south lathe").same_threshold(&on("north lathe")));
    }

    #[test]
    fn another_compound_has_another_threshold() {
        let with = |compound: &str| Conditions {
            compound: Some(compound.into()),
            ..Conditions::default()
        };
        assert!(!with("red").same_threshold(&with("blue")));
        assert!(with("Blue ").same_threshold(&with("blue")));
        assert_eq!(
            with("red").differences_from(&with("blue"))[0].what,
            "compound"
        );
    }

    #[test]
    fn another_method_is_called_as_elsewhere() {
        let seep = Conditions::default();
        let transfer = Conditions {
            method: Method::Transfer,
            ..Conditions::default()
        };
        let found = &transfer.differences_from(&seep)[0];
        assert_eq!(
            (found.before.as_str(), found.now.as_str()),
            ("seep-in", "transfer")
        );
    }
}
