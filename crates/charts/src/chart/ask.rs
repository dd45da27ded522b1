//! What the page asks of a chart film, from plain data.

use super::draw::{chart, ramp};
use super::sheet::Sheet;
use sorrel_core::tone::chart_plan::{ChartPlan, ChartSpec, Patches, RampPlan};
use sorrel_imaging::fault::Fault;
use sorrel_imaging::job::ChartAsk;

/// Longest ramp, mm.
const RAMP_MAX: f64 = 600.0;

/// The plan of a chart by its number of patches, seed and coat.
///
/// # Errors
/// [`Fault::Caller`] for what makes no chart.
pub fn plan(patches: u32, seed: u32, coat: (f64, f64), ground: f64) -> Result<ChartPlan, Fault> {
    let odd = || {
        Fault::caller(
            "There is no chart with this number of patches or this seed.",
            "Choose 41, 65 or 114 patches and a seed below 65536.",
        )
    };
    let patches = Patches::from_count(patches).ok_or_else(odd)?;
    let seed = u16::try_from(seed).map_err(|_| odd())?;
    ChartPlan::new(ChartSpec { patches, seed, coat, ground }).map_err(|e| {
        let note = e.note("");
        Fault::caller(note.text, note.mend)
    })
}

/// The film that is asked for.
///
/// # Errors
/// [`Fault::Caller`] for what makes no chart, no ramp or no film.
pub fn sheet(ask: &ChartAsk) -> Result<Sheet, Fault> {
    if ask.patches > 0 {
        let plan = plan(ask.patches, ask.seed, (ask.width_mm, ask.height_mm), ask.ground)?;
        return chart(&plan, ask.ppi, &ask.label);
    }
    let length = ask.width_mm.min(RAMP_MAX);
    let made = if ask.codes.is_empty() { RampPlan::usual(length) } else { RampPlan::new(&ask.codes, length) };
    let made = made.ok_or_else(|| {
        Fault::caller("An ink ramp has 2 to 41 different steps.", "Give ink codes between 0 and 100 %.")
    })?;
    ramp(&made, ask.ppi, &ask.label)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn charts_ramps_and_odd_wishes() {
        let chart = sheet(&ChartAsk::default()).unwrap();
        assert_eq!((chart.width, chart.height), (1800, 1440));
        let ramp = sheet(&ChartAsk { patches: 0, width_mm: 130.0, ..ChartAsk::default() }).unwrap();
        assert!(ramp.width > ramp.height);
        for odd in [
            ChartAsk { patches: 40, ..ChartAsk::default() },
            ChartAsk { seed: 65_536, ..ChartAsk::default() },
            ChartAsk { width_mm: f64::NAN, ..ChartAsk::default() },
            ChartAsk { ppi: 20, ..ChartAsk::default() },
            ChartAsk { patches: 0, codes: vec![0.5], ..ChartAsk::default() },
        ] {
            assert_eq!(sheet(&odd).unwrap_err().culprit(), "caller", "{odd:?}");
        }
    }
}
