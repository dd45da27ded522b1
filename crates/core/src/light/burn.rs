//! Flashing, burning and dodging, by the printer's own curve. Exposures given one after another are summed as if they
//! were one: that light in parts prints like light at once is an assumption, usual but not tested for these coatings.

use super::Change;
use super::paper::Paper;
use crate::math;

/// The change of exposure that takes one density to another on a curve; `None` for densities it does not reach.
#[must_use]
pub fn needed(curve: &dyn Paper, from: f64, to: f64) -> Option<Change> {
    Some(Change::from_log(curve.log_exposure(to)? - curve.log_exposure(from)?))
}

/// Seconds of light over the whole sheet, without film, that bring a tone of density `from` to `to`: the light it had
/// behind the film is raised by as much everywhere. `main` is the time for black behind clear film, `film` what clear film
/// holds back in log exposure. `None` if `to` is not darker, or one of them lies beyond the curve.
#[must_use]
pub fn flash(curve: &dyn Paper, from: f64, to: f64, main: f64, film: f64) -> Option<f64> {
    let (a, b) = (curve.log_exposure(from)?, curve.log_exposure(to)?);
    // Exposures in parts of that for black, which is `main` seconds behind clear film.
    let more = math::exp10(b) - math::exp10(a);
    (more > 0.0).then(|| more * main * math::exp10(-film))
}

/// What a tone of density `d` becomes when every tone is flashed by so many bare seconds.
#[must_use]
pub fn flashed(curve: &dyn Paper, d: f64, seconds: f64, main: f64, film: f64) -> Option<f64> {
    let had = math::exp10(curve.log_exposure(d)?);
    Some(curve.density(math::log10(had + seconds * math::exp10(film) / main)))
}

#[cfg(test)]
mod tests {
    use super::super::PaperCurve;
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_flash_lifts_the_lights_and_leaves_the_blacks() {
        let curve = PaperCurve::starting(0.03);
        let seconds = flash(&curve, 0.08, 0.12, 360.0, 0.12).unwrap();
        assert!(seconds > 0.5 && seconds < 30.0, "{seconds}");
        let back = flashed(&curve, 0.08, seconds, 360.0, 0.12).unwrap();
        assert!((back - 0.12).abs() < 1e-9);
        let black = flashed(&curve, 1.44, seconds, 360.0, 0.12).unwrap();
        assert!(black - 1.44 < 0.002);
        assert_eq!(flash(&curve, 0.5, 0.3, 360.0, 0.12), None);
        assert_eq!(flash(&curve, 0.5, 3.0, 360.0, 0.12), None);
    }

    #[test]
    fn burning_and_dodging_are_changes() {
        let curve = PaperCurve::starting(0.03);
        let burn = needed(&curve, 0.4, 0.6).unwrap();
        let dodge = needed(&curve, 0.6, 0.4).unwrap();
        assert!(burn.to_log() > 0.0 && (burn.to_log() + dodge.to_log()).abs() < 1e-12);
        let d = curve.density(curve.log_exposure(0.4).unwrap() + burn.to_log());
        assert!((d - 0.6).abs() < 1e-9);
    }
}
