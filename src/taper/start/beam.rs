//! A straight cantilever of rectangular section with shear (Timoshenko), loaded across its axis.
//!
//! `z` runs from the root; SI units throughout. A jaw stands up from its seat like that: the grip force
//! pushes across it, and its free end yields most.

/// Stiffness of a cantilever's section and its root.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cantilever {
    /// E·I, N·m².
    pub bending_newton_m2: f64,
    /// k·A·G, N.
    pub shear_newton: f64,
    /// How stiffly the root resists turning, N·m/rad; infinite for a clamped root.
    pub root_newton_m_per_rad: f64,
}

/// A deflection across the axis, by cause, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deflection {
    /// The beam's own bending.
    pub bending_m: f64,
    /// The beam's own shear.
    pub shear_m: f64,
    /// The root's turning.
    pub root_m: f64,
}

/// Shear coefficient of a rectangular section, `10(1+ν)/(12+11ν)` (Cowper, J. Appl. Mech. 33:335, 1966).
pub fn shear_coefficient(poisson: f64) -> f64 {
    10.0 * (1.0 + poisson) / (12.0 + 11.0 * poisson)
}

impl Cantilever {
    /// Of a solid block: `width_m` across the load, `depth_m` along it. Young's and shear modulus in
    /// pascals; Poisson's ratio follows from both, `ν = E/2G − 1`.
    pub fn block(young_pa: f64, shear_pa: f64, width_m: f64, depth_m: f64) -> Self {
        let poisson = young_pa / (2.0 * shear_pa) - 1.0;
        Self {
            bending_newton_m2: young_pa * width_m * depth_m.powi(3) / 12.0,
            shear_newton: shear_coefficient(poisson) * width_m * depth_m * shear_pa,
            root_newton_m_per_rad: f64::INFINITY,
        }
    }

    /// At `z_m` under a force at `at_m`: bending `P z²(3a − z)/6EI` up to the force and
    /// `P a²(3z − a)/6EI` beyond (Roark, Table 8.1 case 1a), shear `P min(z, a)/kAG`.
    pub fn point_load(&self, newton: f64, at_m: f64, z_m: f64) -> Deflection {
        let (near, far) = (z_m.min(at_m), z_m.max(at_m));
        Deflection {
            bending_m: newton * near * near * (3.0 * far - near) / (6.0 * self.bending_newton_m2),
            shear_m: newton * near / self.shear_newton,
            root_m: newton * at_m * z_m / self.root_newton_m_per_rad,
        }
    }

    /// Slope of bending and root at and beyond a force at `at_m`, in radians: `P a²/2EI + P a/k`.
    pub fn slope_beyond(&self, newton: f64, at_m: f64) -> f64 {
        newton * at_m * at_m / (2.0 * self.bending_newton_m2)
            + newton * at_m / self.root_newton_m_per_rad
    }

    /// How much more the far end of a stretch deflects than its near end, under a force spread evenly
    /// over the stretch from `from_m` to `to_m`.
    ///
    /// Bending: the stretch starts with the slope `P a b/2EI` (moment of the force about each section
    /// below it, integrated) and bends under its own load by `P l³/8EI`; shear `P l/2kAG`; root
    /// `P (a+b)/2 · l/k`, with `a`, `b` the ends and `l = b − a`.
    pub fn opening_over(&self, newton: f64, from_m: f64, to_m: f64) -> Deflection {
        let length = to_m - from_m;
        let below = newton * from_m * to_m * length / (2.0 * self.bending_newton_m2);
        let within = newton * length.powi(3) / (8.0 * self.bending_newton_m2);
        let lever = f64::midpoint(from_m, to_m);
        Deflection {
            bending_m: below + within,
            shear_m: newton * length / (2.0 * self.shear_newton),
            root_m: newton * lever * length / self.root_newton_m_per_rad,
        }
    }
}

impl Deflection {
    /// All causes together, in metres.
    pub fn total_m(&self) -> f64 {
        self.bending_m + self.shear_m + self.root_m
    }
}
