//! The kinds of job.

use crate::answer::{self, Beside, Teller};
use crate::reading::{BlobReader, reason};
use crate::saving::{Store, sweep};
use js_sys::{Reflect, Uint8Array};
use serde::de::DeserializeOwned;
use sorrel_imaging::demo_picture::{self, DemoPicture};
use sorrel_imaging::film::{Codes, Film, Format, Layout, Sink};
use sorrel_imaging::job::{
    BUILD, ChartAsk, Facts, FilmAsk, Picture as From, PreviewAsk, PreviewDone, ProofAsk, Saved, ScanAsk,
    SweepAsk, Swept, TestFileAsk, kind,
};
use sorrel_imaging::png_out::{self, PngWriter};
use sorrel_imaging::source::{Picture, Rows};
use sorrel_imaging::tiff_out::{self, Page, TiffWriter};
use sorrel_imaging::{Fault, preview, proof};
use std::io::Write;
use wasm_bindgen::prelude::*;
use web_sys::Blob;

/// A job as the page posted it.
pub(crate) struct Job {
    /// Its number.
    pub(crate) id: u32,
    build: String,
    kind: String,
    params: JsValue,
    file: JsValue,
}

impl Job {
    /// Reads a message; what is missing stays empty and is refused later.
    pub(crate) fn read(message: &JsValue) -> Self {
        let get = |name: &str| Reflect::get(message, &name.into()).unwrap_or(JsValue::UNDEFINED);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
        let id = get("id").as_f64().unwrap_or(0.0) as u32;
        Self {
            id,
            build: get("build").as_string().unwrap_or_default(),
            kind: get("kind").as_string().unwrap_or_default(),
            params: get("params"),
            file: get("file"),
        }
    }

    fn params<T: DeserializeOwned>(&self) -> Result<T, Fault> {
        serde_wasm_bindgen::from_value(self.params.clone())
            .map_err(|e| Fault::caller(format!("The job was not understood ({e})."), "Load the page again."))
    }

    /// The picture's header, or the demo's facts and rows.
    fn picture(&self, from: From, limit_bytes: f64) -> Result<Opened, Fault> {
        if from == From::Demo {
            return Ok(Opened::Demo);
        }
        let Some(blob) = self.file.dyn_ref::<Blob>() else {
            return Err(Fault::caller("No picture file came with the job.", "Choose a picture file."));
        };
        let reader = BlobReader::new(blob.clone()).map_err(|e| {
            Fault::device(format!("The file could not be read ({}).", reason(&e)), "Load the page again.")
        })?;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a number of bytes")]
        let limit = limit_bytes.max(0.0) as u64;
        Ok(Opened::File(Box::new(Picture::open(reader, limit)?)))
    }
}

enum Opened {
    File(Box<Picture<'static>>),
    Demo,
}

impl Opened {
    fn facts(&self) -> Facts {
        match self {
            Self::File(picture) => picture.facts().clone(),
            Self::Demo => Facts {
                format: "demo".into(),
                width: demo_picture::WIDTH,
                height: demo_picture::HEIGHT,
                depth: 16,
                colour: "grey".into(),
                orientation: 1,
                profile: "drawn by Sorrel".into(),
                ..Facts::default()
            },
        }
    }

    fn into_rows(self) -> Result<Box<dyn Rows>, Fault> {
        match self {
            Self::File(picture) => picture.into_rows(),
            Self::Demo => Ok(Box::new(DemoPicture::new(demo_picture::WIDTH, demo_picture::HEIGHT))),
        }
    }
}

/// Does a job and posts what comes of it, except a fault, which is returned.
pub(crate) async fn run(job: &Job) -> Result<(), Fault> {
    if job.build != BUILD {
        return Err(Fault::device(
            "The page and its picture module are from different builds: Sorrel was updated meanwhile.",
            "Load the page again; everything typed is kept.",
        ));
    }
    match job.kind.as_str() {
        kind::PREVIEW => make_preview(job),
        kind::FILM => make_film(job).await,
        kind::CHART => make_chart(job).await,
        kind::PROOF => make_proof(job).await,
        kind::SCAN => read_scan(job),
        kind::TEST_FILE => test_file(job).await,
        kind::SWEEP => {
            let ask: SweepAsk = job.params()?;
            let removed = sweep(&ask.jobs).await;
            answer::done(job.id, kind::SWEEP, &Swept { removed }, Beside::Nothing)
        }
        other => {
            Err(Fault::caller(format!("There is no job of the kind “{other}”."), "Load the page again."))
        }
    }
}

fn make_preview(job: &Job) -> Result<(), Fault> {
    let ask: PreviewAsk = job.params()?;
    let opened = job.picture(ask.picture, ask.limit_bytes)?;
    let facts = opened.facts();
    let rows: Box<dyn Rows> = match opened {
        // The demo picture can be drawn small at once.
        Opened::Demo => {
            let (width, height) = preview::size((facts.width, facts.height), ask.max_pixels);
            Box::new(DemoPicture::new(width, height))
        }
        file => file.into_rows()?,
    };
    let mut teller = Teller::new(job.id);
    let proxy = preview::proxy(rows, ask.max_pixels, &mut |done| teller.tell(done))?;
    let lightness = Uint8Array::from(proxy.lightness.as_slice());
    let done = PreviewDone { facts, width: proxy.width, height: proxy.height };
    answer::done(job.id, kind::PREVIEW, &done, Beside::Lightness(lightness))
}

async fn make_film(job: &Job) -> Result<(), Fault> {
    let ask: FilmAsk = job.params()?;
    let opened = job.picture(ask.picture, ask.limit_bytes)?;
    let facts = opened.facts();
    let layout = Layout::new(&ask.spec, (facts.width, facts.height))?;
    let page =
        Page { width: layout.width, height: layout.height, ppi: layout.ppi, description: ask.description };
    // What can be refused is refused before the picture is decoded and anything is written.
    let codes = Codes::new(&ask.correction)?.evened(&ask.even)?;
    let work: Work<'_> = Box::new(|sink, teller| {
        let film = Film::of(opened.into_rows()?, layout, codes);
        film.write(sink, &mut |done| teller.tell(done)).map(|_| ())
    });
    save(job, kind::FILM, page, ask.format, ask.file_name, work).await
}

async fn make_chart(job: &Job) -> Result<(), Fault> {
    let ask: ChartAsk = job.params()?;
    let sheet = sorrel_charts::chart::ask::sheet(&ask)?;
    let page =
        Page { width: sheet.width, height: sheet.height, ppi: sheet.ppi, description: ask.description };
    let work: Work<'_> = Box::new(|sink, teller| sheet.write(sink, &mut |done| teller.tell(done)));
    save(job, kind::CHART, page, ask.format, ask.file_name, work).await
}

async fn make_proof(job: &Job) -> Result<(), Fault> {
    let ask: ProofAsk = job.params()?;
    let grey = |i: usize| ask.greys.get(i).and_then(|g| u16::try_from(*g).ok()).unwrap_or(0);
    let patches =
        proof::NAMES.map(|(i, name)| proof::Patch { name, grey: grey(i), ink: 0.0, look: String::new() });
    let page = proof::page(ask.ppi, &ask.description)?;
    let height = page.height;
    let work: Work<'_> = Box::new(|sink, _| proof::write(&patches, height, sink));
    save(job, kind::PROOF, page, ask.format, ask.file_name, work).await
}

fn read_scan(job: &Job) -> Result<(), Fault> {
    let ask: ScanAsk = job.params()?;
    let Opened::File(picture) = job.picture(From::File, ask.limit_bytes)? else {
        return Err(Fault::caller("No scan came with the job.", "Choose the file of the scan."));
    };
    let mut teller = Teller::new(job.id);
    let done = sorrel_charts::scan::ask::read(*picture, &ask, &mut |done| teller.tell(done))?;
    answer::done(job.id, kind::SCAN, &done, Beside::Nothing)
}

/// Writes all rows of a film into a sink.
type Work<'a> = Box<dyn FnOnce(&mut dyn Sink, &mut Teller) -> Result<(), Fault> + 'a>;

/// Makes a film's file and posts it.
async fn save(
    job: &Job,
    kind: &str,
    page: Page,
    format: Format,
    file_name: String,
    work: Work<'_>,
) -> Result<(), Fault> {
    let bytes = match format {
        Format::Tiff => tiff_out::file_size(&page)?,
        Format::Png => png_out::largest_size(&page),
    };
    let size = (page.width, page.height);
    let store = Store::open(job.id, bytes).await?;
    let mut teller = Teller::new(job.id);
    let store = match format {
        Format::Tiff => {
            let mut sink = TiffWriter::new(store, page)?;
            work(&mut sink, &mut teller)?;
            sink.into_inner()
        }
        Format::Png => {
            let mut sink = PngWriter::new(store, page)?;
            work(&mut sink, &mut teller)?;
            sink.into_inner()
        }
    };
    let media_type = format.media_type();
    let stored = store.close(media_type).await?;
    finish(job, kind, stored, file_name, media_type, size, String::new())
}

fn finish(
    job: &Job,
    kind: &str,
    stored: crate::saving::Stored,
    file_name: String,
    media_type: &str,
    (width, height): (u32, u32),
    hash: String,
) -> Result<(), Fault> {
    #[expect(clippy::cast_precision_loss, reason = "file sizes are below 2⁵³")]
    let bytes = stored.bytes as f64;
    let media_type = media_type.to_owned();
    let saved = Saved { parts: stored.parts, bytes, file_name, media_type, width, height, hash };
    answer::done(job.id, kind, &saved, stored.blob.map_or(Beside::Nothing, Beside::Blob))
}

async fn test_file(job: &Job) -> Result<(), Fault> {
    let ask: TestFileAsk = job.params()?;
    if !(1.0..=4e9).contains(&ask.bytes) {
        return Err(Fault::caller("A test file has 1 byte to 4 GB.", "Ask for another size."));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "in range, see above")]
    let bytes = ask.bytes as u64;
    let mut store = Store::open(job.id, bytes).await?;
    let mut teller = Teller::new(job.id);
    let mut noise = Noise::default();
    let mut block = vec![0; 1 << 20];
    let mut left = bytes;
    while left > 0 {
        let n = usize::try_from(left).unwrap_or(usize::MAX).min(block.len());
        noise.fill(&mut block[..n]);
        store.write_all(&block[..n]).map_err(|e| {
            Fault::device(
                format!("The file could not be written ({e})."),
                "Free some space on this device and try again.",
            )
        })?;
        left -= n as u64;
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            reason = "for a progress bar"
        )]
        let done = 1.0 - (left as f64 / bytes as f64) as f32;
        let _ = teller.tell(done);
    }
    let media_type = "application/octet-stream";
    let stored = store.close(media_type).await?;
    let hash = format!("{:016x}", noise.hash);
    finish(job, kind::TEST_FILE, stored, ask.file_name, media_type, (0, 0), hash)
}

/// Pseudo-random bytes that no disk can compress, and their FNV-1a sum.
///
/// Sources: G. Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8 (14), 2003 (13, 7, 17); FNV-1a with the
/// 64-bit offset and prime of G. Fowler, L. C. Noll and K.-P. Vo.
struct Noise {
    state: u64,
    hash: u64,
}

impl Default for Noise {
    fn default() -> Self {
        Self { state: 0x5072_696E_7465_7273, hash: 0xCBF2_9CE4_8422_2325 }
    }
}

impl Noise {
    fn fill(&mut self, block: &mut [u8]) {
        for bytes in block.chunks_mut(8) {
            self.state ^= self.state << 13;
            self.state ^= self.state >> 7;
            self.state ^= self.state << 17;
            for (b, v) in bytes.iter_mut().zip(self.state.to_le_bytes()) {
                *b = v;
                self.hash = (self.hash ^ u64::from(v)).wrapping_mul(0x0000_0100_0000_01B3);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_is_the_same_every_time_and_its_sum_is_fnv() {
        let mut a = [0; 4096];
        let mut noise = Noise::default();
        noise.fill(&mut a);
        let mut b = [0; 4096];
        Noise::default().fill(&mut b);
        assert_eq!(a, b);
        assert!(a.windows(8).collect::<std::collections::BTreeSet<_>>().len() > 4000);
        // FNV-1a of the empty text and of "a", published with the algorithm.
        assert_eq!(Noise::default().hash, 0xCBF2_9CE4_8422_2325);
        assert_eq!((0xCBF2_9CE4_8422_2325_u64 ^ 0x61).wrapping_mul(0x100_0000_01B3), 0xAF63_DC4C_8601_EC8C);
    }
}
