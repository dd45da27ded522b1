//! Simulated prints, the same in every run: a process with a known truth, under exposures and coats that vary.

#![allow(dead_code, reason = "each test uses its part")]

use sorrel_core::math;
use sorrel_core::tone::{Reading, lightness};

/// SplitMix64 and Box–Muller.
pub struct Chance(pub u64);

impl Chance {
    pub fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn normal(&mut self) -> f64 {
        let (a, b) = (1.0 - self.uniform(), self.uniform());
        math::sqrt(-2.0 * math::ln(a)) * math::cos(core::f64::consts::TAU * b)
    }
}

/// A process: D = Dmin + R·(1 − exp(−(H/H0)^g)) under ink of density `range`·(1.18 c − 0.18 c²), the demonstration's
/// model (Dmin 0.07, R 1.41, g 1.08, H0 78.4 s, clear film 0.12, 360 s) with other figures where said.
#[derive(Clone, Copy, Debug)]
pub struct Process {
    pub paper: f64,
    pub net: f64,
    pub steepness: f64,
    pub scale: f64,
    pub film: f64,
    pub range: f64,
    pub seconds: f64,
}

pub const DEMO: Process =
    Process { paper: 0.07, net: 1.41, steepness: 1.08, scale: 78.4, film: 0.12, range: 2.32, seconds: 360.0 };
/// A contrastier paper under a denser ink.
pub const HARD: Process =
    Process { paper: 0.06, net: 1.32, steepness: 1.4, scale: 60.0, film: 0.10, range: 1.9, seconds: 240.0 };
/// A soft one that never quite gets to its white.
pub const SOFT: Process =
    Process { paper: 0.09, net: 1.44, steepness: 0.9, scale: 90.0, film: 0.15, range: 2.6, seconds: 600.0 };

/// One print's departure from the process.
#[derive(Clone, Copy, Debug, Default)]
pub struct Drift {
    /// log₁₀ of its exposure over the intended.
    pub exposure: f64,
    /// Relative change of its net density.
    pub coat: f64,
}

impl Drift {
    /// Exposure with standard deviation `exposure`, black with `coat` L*.
    pub fn drawn(process: &Process, exposure: f64, coat: f64, chance: &mut Chance) -> Self {
        // dL*/d(relative net density) in black, so that `coat` is L* there.
        let black = process.paper + process.net;
        let per = lightness::slope_in_density(black) * process.net;
        Self { exposure: exposure * chance.normal(), coat: coat / per * chance.normal() }
    }
}

impl Process {
    /// Density behind a film density.
    pub fn behind(&self, film: f64, drift: Drift) -> f64 {
        let h = self.seconds * math::exp10(drift.exposure - film) / self.scale;
        self.paper + self.net * (1.0 + drift.coat) * (1.0 - math::exp(-math::pow(h, self.steepness)))
    }

    /// Density of an ink code in the light that prints, clear film included.
    pub fn ink(&self, code: f64) -> f64 {
        self.film + self.range * (1.18 * code - 0.18 * code * code)
    }

    /// L* of an ink code.
    pub fn lightness(&self, code: f64, drift: Drift) -> f64 {
        lightness::from_density(self.behind(self.ink(code), drift))
    }

    /// A chart: `levels` even steps, each `times`, and `ends` more at each end, read with scatter `sigma` L*.
    pub fn chart(
        &self,
        (levels, times, ends): (usize, usize, usize),
        sigma: f64,
        drift: Drift,
        chance: &mut Chance,
    ) -> Vec<Reading> {
        let inner = (0..levels * times).map(|i| (i % levels) as f64 / (levels - 1) as f64);
        let ends = (0..2 * ends).map(|i| (i % 2) as f64);
        inner
            .chain(ends)
            .map(|c| Reading::lightness(c, self.lightness(c, drift) + sigma * chance.normal()))
            .collect()
    }

    /// The seven patches of a margin strip.
    pub fn strip(&self, sigma: f64, drift: Drift, chance: &mut Chance) -> Vec<Reading> {
        [0.0, 0.1, 0.2, 0.35, 0.5, 0.7, 1.0]
            .iter()
            .map(|&c| Reading::lightness(c, self.lightness(c, drift) + sigma * chance.normal()))
            .collect()
    }
}
