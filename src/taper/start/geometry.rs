//! Roughly, from the jaw's geometry: a cantilever with shear on a turning root.
//!
//! A top jaw stands up from its serrations along the spindle axis. The grip force pushes across it, near
//! its free end, so the tip of the face yields more than its base; the taper makes up for the difference
//! between boring and production pressure. Serrations, bolts, T-nuts and the master jaw in its slot turn
//! a little under the force's moment, which a spring at the root stands for. That the jaws shift as a
//! whole asks for no taper and is left out.

use super::beam::{Cantilever, Deflection};
use super::{Found, Material, Pressures, StartError, StartFrom, StartingTaper};
use crate::taper::rules::Rules;
use crate::units::{Force, Length, PerSide, Pressure};

/// Share of the rated force that the grip may have fallen to: grip is reported to fall by up to 40 % in
/// a shift as lubrication fades (trade page).
const LEAST_GRIP: f64 = 0.6;
/// A fresh chuck may exceed its rating by this share of it; an assumption.
const MOST_GRIP: f64 = 1.1;

/// One jaw, all measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JawGeometry {
    /// What it is made of.
    pub material: Material,
    /// From the serrations to the top of the jaw.
    pub height: Length,
    /// Of the gripping face, tip to base.
    pub face_length: Length,
    /// From the jaw's top down to the tip of the face; mostly zero.
    pub tip_below_top: Length,
    /// Across the grip force.
    pub width: Length,
    /// Along the grip force: how much jaw stands behind the face.
    pub thickness: Length,
}

/// Grip force as the chuck's maker states it; never assumed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChuckRating {
    /// Of all jaws together.
    pub total_force: Force,
    /// At which chuck pressure.
    pub at: Pressure,
    /// How many jaws share it.
    pub jaws: u8,
}

/// How stiffly serrations, bolts and master jaw hold a jaw against turning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootSpring {
    /// Moment per turning.
    pub newton_m_per_rad: f64,
    /// It may be this many times stiffer or softer; 1 or more.
    pub factor: f64,
}

impl RootSpring {
    /// Nothing published states it. The order of magnitude is the one at which tall aluminium jaws need
    /// what common practice says (see DEVELOPERS.md), and a factor of three admits how little that fixes.
    pub const ASSUMED: Self = Self {
        newton_m_per_rad: 5e6,
        factor: 3.0,
    };
}

/// A rough taper from the jaw's geometry and the chuck's rating. `root` is assumed where not known.
///
/// # Errors
/// Where a size is not above zero, the face does not fit on the jaw, the boring pressure is above
/// production pressure, or the rating states no pressure or no sensible count of jaws.
pub fn from_geometry(
    jaw: &JawGeometry,
    rating: &ChuckRating,
    pressures: &Pressures,
    root: Option<RootSpring>,
    rules: &Rules,
) -> Result<StartingTaper, StartError> {
    jaw.sound()?;
    let spring = root.unwrap_or(RootSpring::ASSUMED);
    spring.sound()?;
    let newton = rating.per_jaw(pressures.rise()?)?;
    let opening = |grip: f64, stiffness: f64, root: f64| {
        jaw.opening(newton * grip, stiffness, spring.newton_m_per_rad * root)
    };
    let best = opening(1.0, 1.0, 1.0);
    let [soft, stiff] = jaw.material.moduli().range;
    let found = Found {
        from: StartFrom::Geometry,
        needed: taper(&best)?,
        low: taper(&opening(LEAST_GRIP, stiff, spring.factor))?,
        high: Some(taper(&opening(MOST_GRIP, soft, spring.factor.recip()))?),
        arithmetic: arithmetic(jaw, rating, pressures, newton, &best)?,
        assumed: assumed(jaw, spring, root.is_none()),
    };
    Ok(found.finish(rules))
}

impl JawGeometry {
    fn sound(&self) -> Result<(), StartError> {
        let sizes = [
            ("the jaw's height", self.height),
            ("the face's length", self.face_length),
            ("the jaw's width", self.width),
            ("the jaw's thickness behind the face", self.thickness),
        ];
        if let Some((what, length)) = sizes.into_iter().find(|(_, l)| *l <= Length::ZERO) {
            return Err(StartError::NotPositive { what, length });
        }
        let fits = self.tip_below_top >= Length::ZERO
            && self.face_length + self.tip_below_top <= self.height;
        fits.then_some(()).ok_or(StartError::FaceTooLong {
            face: self.face_length,
            below_top: self.tip_below_top,
            height: self.height,
        })
    }

    /// How much more the tip yields than the base under a grip force spread evenly over the face.
    fn opening(&self, newton: f64, stiffness: f64, root_newton_m_per_rad: f64) -> Deflection {
        let moduli = self.material.moduli();
        let block = Cantilever::block(
            moduli.young_gpa * 1e9 * stiffness,
            moduli.shear_gpa * 1e9 * stiffness,
            self.width.metres(),
            self.thickness.metres(),
        );
        let jaw = Cantilever {
            root_newton_m_per_rad,
            ..block
        };
        let tip = self.height - self.tip_below_top;
        jaw.opening_over(newton, (tip - self.face_length).metres(), tip.metres())
    }
}

impl ChuckRating {
    /// Newtons on one jaw for a rise in pressure.
    fn per_jaw(&self, rise: Pressure) -> Result<f64, StartError> {
        if !(2..=8).contains(&self.jaws) {
            return Err(StartError::Jaws(self.jaws));
        }
        let share = rise
            .ratio(self.at)
            .ok_or(StartError::NoPressure("the chuck's rated grip force"))?;
        Ok(self.total_force.newtons() / f64::from(self.jaws) * share)
    }
}

impl RootSpring {
    fn sound(&self) -> Result<(), StartError> {
        let (newton_m_per_rad, factor) = (self.newton_m_per_rad, self.factor);
        let sound = newton_m_per_rad > 0.0 && (1.0..=1e3).contains(&factor);
        sound.then_some(()).ok_or(StartError::NoSpring {
            newton_m_per_rad,
            factor,
        })
    }
}

fn taper(opening: &Deflection) -> Result<PerSide, StartError> {
    PerSide::from_computed_micrometres(opening.total_m() * 1e6).ok_or(StartError::NoNumber)
}

fn arithmetic(
    jaw: &JawGeometry,
    rating: &ChuckRating,
    pressures: &Pressures,
    newton: f64,
    opening: &Deflection,
) -> Result<Vec<String>, StartError> {
    let thou = |m: f64| m * 1e6 / PerSide::of(Length::from_tenths(10)).micrometres();
    let rise = pressures.rise()?;
    Ok(vec![
        format!(
            "Production pressure {} less boring pressure {} is {rise}.",
            pressures.production, pressures.boring
        ),
        format!(
            "The chuck is rated {} at {} over {} jaws: {rise} more is {:.1} kN more on each jaw.",
            rating.total_force,
            rating.at,
            rating.jaws,
            newton / 1e3
        ),
        format!(
            "Over a face of {} on a jaw of {}, the tip yields more than the base by {:.2} thou from \
             bending, {:.2} from shear and {:.2} from the jaw's seat: {}.",
            jaw.face_length,
            jaw.height,
            thou(opening.bending_m),
            thou(opening.shear_m),
            thou(opening.root_m),
            taper(opening)?.as_taper()
        ),
    ])
}

fn assumed(jaw: &JawGeometry, spring: RootSpring, spring_is_assumed: bool) -> Vec<String> {
    let moduli = jaw.material.moduli();
    let mut assumed = vec![
        format!(
            "The jaw is a straight block of {} (E {} GPa, G {} GPa), loaded evenly along its face; on \
             so short a block beam theory itself is rough.",
            jaw.material.word(),
            moduli.young_gpa,
            moduli.shear_gpa
        ),
        format!(
            "The grip force is what the chuck's rating says, and between {LEAST_GRIP} and {MOST_GRIP} \
             times that in the range: it falls as lubrication fades."
        ),
        "The jaws were bored under a force at the same height of the jaw as in production; a ring or \
         plug nearer to the chuck bends them less."
            .to_owned(),
    ];
    let value = format!(
        "{:.2} MN m/rad within a factor of {}",
        spring.newton_m_per_rad / 1e6,
        spring.factor
    );
    assumed.push(if spring_is_assumed {
        format!("Serrations, bolts and master jaw turn like a spring of {value}; nothing published states it.")
    } else {
        format!("Serrations, bolts and master jaw turn like a spring of {value}, as given.")
    });
    assumed
}
