//! Reads a chart back from a scan: `scan scan.png 114 40213 gamma`.

use sorrel_charts::scan::ask::read;
use sorrel_core::tone::chart_plan::Patches;
use sorrel_imaging::job::{LIMIT_BYTES, ScanAsk};
use sorrel_imaging::source::Picture;
use std::fs::File;
use std::ops::ControlFlow;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [file, count, seed, light] = args.as_slice() else {
        return Err("give a file, the number of patches, the seed, and file, linear, srgb or gamma".into());
    };
    let patches = count.parse()?;
    let (width_mm, height_mm) = Patches::from_count(patches).ok_or("41, 65 or 114 patches")?.usual_coat();
    let (seed, light) = (seed.parse()?, light.clone());
    let ask = ScanAsk { patches, seed, width_mm, height_mm, light, ..ScanAsk::default() };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a whole number of bytes")]
    let picture = Picture::open(File::open(file)?, LIMIT_BYTES as u64)?;
    let done = read(picture, &ask, &mut |_| ControlFlow::Continue(()))?;
    for (code, lightness) in done.codes.iter().zip(&done.lightness) {
        println!("{:.1} {lightness:.2}", 100.0 * code);
    }
    println!(
        "chart {}, {:.2} pixels per mm, claim {}, {:?}",
        done.name, done.scale, done.claim, done.remarks
    );
    Ok(())
}
