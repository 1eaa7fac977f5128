//! Needed taper per pressure, learned from finished jaw sets.

use super::pooling::random_effects;
use crate::units::{PerSide, Pressure};

/// What an unfinished world adds: the grip falls by up to two fifths as the lubrication of the chuck
/// fades, so a needed taper is known no better than to a tenth (assumption).
const LEAST_RELATIVE_SD: f64 = 0.1;
/// Needed tapers are cut in steps, so none is known better than a tenth of a thousandth (assumption).
const LEAST_SD_UM: f64 = 2.54;

/// A finished check: full-length at known pressures.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct CompliancePoint {
    /// Chuck pressure at the check.
    pub pressure: Pressure,
    /// Chuck pressure while boring.
    pub boring_pressure: Pressure,
    /// Needed taper: the posterior's median, or the taper that was cut.
    pub needed: PerSide,
    /// One standard deviation of it, per side.
    pub sd: PerSide,
}

/// Where a compliance comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ComplianceSource {
    /// The jaw set's own finished checks.
    Own,
    /// Finished checks of sets of the same material and height.
    Sisters,
}

/// Taper per pressure step with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compliance {
    um_per_pascal: f64,
    sd: f64,
    source: ComplianceSource,
    points: usize,
}

/// A needed taper that was foretold, with its 90 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foretold {
    /// As likely above as below.
    pub median: PerSide,
    /// 5 % lie below.
    pub low: PerSide,
    /// 5 % lie above.
    pub high: PerSide,
}

/// Learns `needed = compliance × (clamping − boring pressure)`: from the set's own finished checks where
/// there are any, else from its sisters', one slice per sister set. `None` where neither has a check
/// whose two pressures differ.
pub fn compliance(own: &[CompliancePoint], sisters: &[Vec<CompliancePoint>]) -> Option<Compliance> {
    if let Some((slope, variance, points)) = slope(own) {
        return Some(Compliance {
            um_per_pascal: slope,
            sd: variance.sqrt().max(LEAST_RELATIVE_SD * slope.abs()),
            source: ComplianceSource::Own,
            points,
        });
    }
    let slopes: Vec<_> = sisters.iter().filter_map(|s| slope(s)).collect();
    let values: Vec<(f64, f64)> = slopes.iter().map(|(c, v, _)| (*c, *v)).collect();
    let pooled = random_effects(&values)?;
    let sd = (pooled.mean_variance + pooled.between_variance).sqrt();
    // One sister says nothing of how far sisters differ: as much as a third (assumption).
    let least = if values.len() < 3 {
        1.0 / 3.0
    } else {
        LEAST_RELATIVE_SD
    };
    Some(Compliance {
        um_per_pascal: pooled.mean,
        sd: sd.max(least * pooled.mean.abs()),
        source: ComplianceSource::Sisters,
        points: slopes.iter().map(|(_, _, n)| n).sum(),
    })
}

/// Weighted least squares through the origin: with `w = 1/sd²`, `c = Σwxy/Σwx²`, variance `1/Σwx²`, times
/// `χ²/(n − 1)` where the points scatter more than they say (Birge, Phys. Rev. 40:207–227, 1932).
fn slope(points: &[CompliancePoint]) -> Option<(f64, f64, usize)> {
    let of = |p: &CompliancePoint| {
        let x = p.pressure.pascals() - p.boring_pressure.pascals();
        let sd = p.sd.micrometres().max(LEAST_SD_UM);
        (x, p.needed.micrometres(), 1.0 / (sd * sd))
    };
    let used: Vec<_> = points
        .iter()
        .map(of)
        .filter(|(x, _, _)| x.abs() >= 1.0)
        .collect();
    let xx: f64 = used.iter().map(|(x, _, w)| w * x * x).sum();
    let xy: f64 = used.iter().map(|(x, y, w)| w * x * y).sum();
    if used.is_empty() || !xx.is_finite() || !xy.is_finite() {
        return None;
    }
    let slope = xy / xx;
    let chi2: f64 = used
        .iter()
        .map(|(x, y, w)| w * (y - slope * x).powi(2))
        .sum();
    let degrees = (used.len() - 1).max(1) as f64;
    Some((slope, (chi2 / degrees).max(1.0) / xx, used.len()))
}

impl Compliance {
    /// Micrometres per side for each pascal.
    pub fn um_per_pascal(&self) -> f64 {
        self.um_per_pascal
    }

    /// One standard deviation of it.
    pub fn sd_um_per_pascal(&self) -> f64 {
        self.sd
    }

    /// Where it comes from.
    pub fn source(&self) -> ComplianceSource {
        self.source
    }

    /// How many finished checks it rests on.
    pub fn points(&self) -> usize {
        self.points
    }

    /// The taper that a clamping pressure needs, where the jaws are bored at `boring`. `None` where it is
    /// beyond all range.
    pub fn predict(&self, clamping: Pressure, boring: Pressure) -> Option<Foretold> {
        let step_pa = clamping.pascals() - boring.pascals();
        let (um, sd_um) = (self.um_per_pascal * step_pa, self.sd * step_pa.abs());
        // 5 % of a normal distribution lie beyond 1.645 standard deviations.
        let at = |z: f64| PerSide::from_computed_micrometres(um + z * sd_um);
        Some(Foretold {
            median: at(0.0)?,
            low: at(-1.645)?,
            high: at(1.645)?,
        })
    }

    /// How uncertain a move by this step is. The set's own checks count twice, for the taper and for the
    /// compliance: twice the deviation makes up for the error that both then share.
    pub(super) fn sd_of_a_move_um(&self, step_pa: f64) -> f64 {
        let own = self.source == ComplianceSource::Own;
        let factor = if own { 2.0 } else { 1.0 };
        factor * self.sd * step_pa.abs()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(psi: u32, needed_um: f64) -> CompliancePoint {
        CompliancePoint {
            pressure: format!("{psi}psi").parse().unwrap(),
            boring_pressure: "100psi".parse().unwrap(),
            needed: PerSide::from_computed_micrometres(needed_um).unwrap(),
            sd: PerSide::from_computed_micrometres(3.0).unwrap(),
        }
    }

    fn at(c: &Compliance, psi: u32) -> Foretold {
        let clamping = format!("{psi}psi").parse().unwrap();
        c.predict(clamping, "100psi".parse().unwrap()).unwrap()
    }

    #[test]
    fn twice_the_step_needs_twice_the_taper() {
        let c = compliance(&[point(300, 40.0), point(200, 20.0)], &[]).unwrap();
        let foretold = at(&c, 500);
        assert!((foretold.median.micrometres() - 80.0).abs() < 1e-3);
        assert!(foretold.low < foretold.median && foretold.median < foretold.high);
        assert_eq!(at(&c, 100).high, PerSide::ZERO);
    }

    #[test]
    fn own_checks_come_before_the_sisters() {
        let sisters = vec![vec![point(300, 60.0)], vec![point(300, 70.0)]];
        let own = compliance(&[point(300, 40.0)], &sisters).unwrap();
        assert_eq!((own.source(), own.points()), (ComplianceSource::Own, 1));
        let c = compliance(&[point(100, 5.0)], &sisters).unwrap();
        assert_eq!((c.source(), c.points()), (ComplianceSource::Sisters, 2));
        assert!((at(&c, 300).median.micrometres() - 65.0).abs() < 1.0);
    }

    #[test]
    fn no_step_of_pressure_teaches_nothing() {
        assert_eq!(compliance(&[point(100, 5.0)], &[]), None);
        assert_eq!(compliance(&[], &[vec![]]), None);
    }
}
