//! Makes a film on the command line, for measuring and for looking at it:
//! `film <picture | demo[:width:height]> <out.tif | out.png> [width mm] [height mm] [ppi]`; `preview` as the second
//! argument writes the proxy as a PGM to standard output.
#![allow(
    clippy::disallowed_types,
    clippy::cast_possible_truncation,
    reason = "a measuring tool reads the clock"
)]

use sorrel_imaging::demo_picture::{DemoPicture, HEIGHT, WIDTH};
use sorrel_imaging::film::{Film, FilmSpec, Layout, NODES, Sink};
use sorrel_imaging::png_out::PngWriter;
use sorrel_imaging::source::{Picture, Rows};
use sorrel_imaging::tiff_out::{Page, TiffWriter};
use std::error::Error;
use std::fs::File;
use std::io::Write;
use std::ops::ControlFlow;
use std::time::Instant;

fn open(name: &str) -> Result<Box<dyn Rows>, Box<dyn Error>> {
    if let Some(size) = name.strip_prefix("demo") {
        let mut numbers = size.split(':').filter_map(|n| n.parse().ok());
        let width = numbers.next().unwrap_or(WIDTH);
        return Ok(Box::new(DemoPicture::new(width, numbers.next().unwrap_or(HEIGHT))));
    }
    let picture = Picture::open(File::open(name)?, 1 << 30)?;
    eprintln!("{:?}", picture.facts());
    Ok(picture.into_rows()?)
}

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().collect();
    let [_, input, output, numbers @ ..] = args.as_slice() else {
        return Err("film <picture | demo> <out> [width mm] [height mm] [ppi]".into());
    };
    let number = |i: usize, or: f64| numbers.get(i).and_then(|n| n.parse().ok()).unwrap_or(or);
    let start = Instant::now();
    let rows = open(input)?;
    if output == "preview" {
        let proxy = sorrel_imaging::preview::proxy(rows, 1_000_000, &mut |_| ControlFlow::Continue(()))?;
        eprintln!("preview {:.3} s", start.elapsed().as_secs_f64());
        let mut out = std::io::stdout();
        writeln!(out, "P5 {} {} 255", proxy.width, proxy.height)?;
        out.write_all(&proxy.lightness)?;
        return Ok(());
    }
    let decoded = start.elapsed().as_secs_f64();
    let spec = FilmSpec {
        width_mm: number(0, 203.2),
        height_mm: number(1, 254.0),
        ppi: number(2, 360.0) as u32,
        label: vec![
            "Film 12 · Slipway at low water".into(),
            "Setup A · correction 3 · 2026-11-25 · not measured".into(),
        ],
        ..FilmSpec::default()
    };
    let layout = Layout::new(&spec, rows.size())?;
    // A correction of the usual shape: half of the ink for a picture tone of 0.3.
    let correction: Vec<f32> = (0..NODES).map(|i| (i as f32 / 4095.0).sqrt() * 0.92).collect();
    let page = Page {
        width: layout.width,
        height: layout.height,
        ppi: layout.ppi,
        description: "Film 12, negative: 0 = full ink".into(),
    };
    let film = Film::new(rows, layout, &correction)?;
    let file = File::create(output)?;
    let mut sink: Box<dyn Sink> = if output.ends_with("png") {
        Box::new(PngWriter::new(file, page)?)
    } else {
        Box::new(TiffWriter::new(file, page)?)
    };
    let layout = film.write(sink.as_mut(), &mut |_| ControlFlow::Continue(()))?;
    eprintln!(
        "{} x {} = {:.1} MP, decoded {decoded:.3} s, all {:.3} s",
        layout.width,
        layout.height,
        layout.pixels() as f64 / 1e6,
        start.elapsed().as_secs_f64()
    );
    Ok(())
}
