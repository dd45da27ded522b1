//! Writes the film of a tone chart and of an ink ramp as PNG: `chart 114 40213 chart.png ramp.png`.

use sorrel_charts::chart::{Sheet, chart, ramp};
use sorrel_core::tone::chart_plan::{ChartPlan, ChartSpec, Patches, RampPlan};
use sorrel_imaging::png_out::PngWriter;
use sorrel_imaging::tiff_out::Page;
use std::fs::File;
use std::ops::ControlFlow;

fn save(sheet: &Sheet, name: &str) -> Result<(), Box<dyn std::error::Error>> {
    let description = "Example film of Sorrel".to_owned();
    let page = Page { width: sheet.width, height: sheet.height, ppi: sheet.ppi, description };
    sheet.write(&mut PngWriter::new(File::create(name)?, page)?, &mut |_| ControlFlow::Continue(()))?;
    Ok(())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [count, seed, chart_name, ramp_name] = args.as_slice() else {
        return Err("give the number of patches, a seed and two file names".into());
    };
    let patches = Patches::from_count(count.parse()?).ok_or("41, 65 or 114 patches")?;
    let plan = ChartPlan::new(ChartSpec::usual(patches, seed.parse()?)).map_err(|e| e.note("").text)?;
    save(&chart(&plan, 360, "Example")?, chart_name)?;
    let plan = RampPlan::usual(130.0).ok_or("no ramp")?;
    save(&ramp(&plan, 360, "Example")?, ramp_name)
}
