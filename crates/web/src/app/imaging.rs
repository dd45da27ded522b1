//! Long jobs: opening a picture, making a film.

use sorrel_core::math;
use sorrel_core::negative::{self, Crop, FilmPlan, PictureFacts};
use sorrel_core::tone::page::carry::ProofFile;
use sorrel_core::tone::page::chart::{ChartFilm, ChartSheet};
use sorrel_core::tone::page::scan::ScanWish;
use sorrel_core::tree::ToTree;
use sorrel_imaging::film::{Even, FilmSpec, Fit, Format};
use sorrel_imaging::job::{self, ChartAsk, FilmAsk, PreviewAsk, PreviewDone, ProofAsk, Saved, kind};
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Blob, File};

use super::scan::Step;
use super::{App, Msg, dispatch};
use crate::binder::from_js;
use crate::dom;
use crate::platform::save;
use crate::platform::worker::Said;
use crate::preview::{self, Part};

/// A running job.
pub(super) struct Job {
    id: u32,
    what: What,
}

pub(super) enum What {
    Preview(Option<File>),
    Film(Box<FilmPlan>),
    Scan(Step, Box<ScanWish>),
    /// A file that belongs to nothing in the book.
    File,
}

/// The picture in hand.
pub(super) struct Picture {
    /// The chosen file; `None` for the demo's own picture.
    pub(super) file: Option<File>,
    pub(super) width: u32,
    pub(super) height: u32,
    /// L* of the proxy, 2.55 a unit, row by row.
    pub(super) lightness: Vec<u8>,
    /// The part whose tones were last counted.
    pub(super) counted: Option<Part>,
}

/// Memory a picture may take here.
pub(super) fn limit() -> f64 {
    let navigator = dom::window().navigator();
    let agent = navigator.user_agent().unwrap_or_default();
    // An iPad calls itself a Mac, but Macs have no touch points.
    let touch_mac = agent.contains("Macintosh") && navigator.max_touch_points() > 1;
    let ios = touch_mac || ["iPhone", "iPad", "iPod"].iter().any(|word| agent.contains(word));
    if ios { job::LIMIT_BYTES_IOS } else { job::LIMIT_BYTES }
}

impl App {
    /// A picture file was chosen: its head and its proxy are read.
    pub(super) fn picked(&mut self, file: File) {
        self.say("");
        let label = format!("Opening {}", file.name());
        self.preview(Some(file), &label);
    }

    /// Has the worker open a picture: a file, or the demo's own.
    pub(super) fn preview(&mut self, file: Option<File>, label: &str) {
        self.drop_job();
        let picture = if file.is_some() { job::Picture::File } else { job::Picture::Demo };
        let ask = PreviewAsk { picture, limit_bytes: limit(), ..PreviewAsk::default() };
        let sent = file.as_ref().map_or(JsValue::NULL, |f| f.into());
        self.post(kind::PREVIEW, &ask, &sent, What::Preview(file), label);
    }

    /// Makes the film file of a plan from the picture in hand.
    pub(super) fn make_film(&mut self, plan: FilmPlan) {
        let Some(picture) = &self.picture else {
            self.say("The picture file is no longer in hand. Open it again; the film is made from the file itself.");
            return;
        };
        let file = picture.file.as_ref().map_or(JsValue::NULL, |f| f.into());
        let even = negative::evening_tables(&plan, &self.scene()).unwrap_or_default();
        let ask = FilmAsk {
            picture: if picture.file.is_some() { job::Picture::File } else { job::Picture::Demo },
            limit_bytes: limit(),
            spec: spec(&plan),
            correction: self.tone.1.correction.table().to_vec(),
            even: Even { net: even.net, codes: even.codes },
            format: if plan.format == "png" { Format::Png } else { Format::Tiff },
            file_name: plan.file_name.clone(),
            description: plan.description.clone(),
        };
        let label = format!("Making film {}", plan.number);
        self.post(kind::FILM, &ask, &file, What::Film(Box::new(plan)), &label);
    }

    /// Makes the film file of a tone chart or an ink ramp.
    pub(super) fn make_chart(&mut self, film: ChartFilm) {
        let mut ask = ChartAsk {
            ppi: film.ppi,
            label: film.label,
            format: if film.format == "png" { Format::Png } else { Format::Tiff },
            file_name: film.file_name,
            description: film.description,
            ..ChartAsk::default()
        };
        match film.sheet {
            ChartSheet::Chart(spec) => {
                ask.patches = u32::try_from(spec.patches.count()).unwrap_or(0);
                ask.seed = spec.seed.into();
                (ask.width_mm, ask.height_mm) = spec.coat;
                ask.ground = spec.ground;
            }
            ChartSheet::Ramp(long) => (ask.patches, ask.width_mm) = (0, long),
        }
        self.post(kind::CHART, &ask, &JsValue::NULL, What::File, "Making the chart film");
    }

    /// Makes the proof picture.
    pub(super) fn make_proof(&mut self, file: ProofFile) {
        let ask = ProofAsk {
            greys: file.greys.map(u32::from).to_vec(),
            ppi: file.ppi,
            format: if file.format == "png" { Format::Png } else { Format::Tiff },
            file_name: file.file_name,
            description: file.description,
        };
        self.post(kind::PROOF, &ask, &JsValue::NULL, What::File, "Making the proof");
    }

    /// Writes a file of pseudo-random bytes and hands it over as a film is handed over. Only in a site built for tests.
    #[cfg(feature = "test-clock")]
    pub(super) fn test_file(&mut self, bytes: f64) {
        let ask = job::TestFileAsk { bytes, ..job::TestFileAsk::default() };
        self.post(kind::TEST_FILE, &ask, &JsValue::NULL, What::File, "Saving a test file");
    }

    pub(super) fn post(&mut self, kind: &str, ask: &dyn ToTree, file: &JsValue, what: What, label: &str) {
        match self.imaging.post(kind, ask, file) {
            Ok(id) => {
                self.job = Some(Job { id, what });
                self.device.job = Some((label.into(), 0.0));
                self.refresh();
            }
            Err(why) => {
                self.say(&format!(
                    "The part of Sorrel that reads pictures could not start: {why}. Load the page again."
                ));
            }
        }
    }

    /// Ends the running job, if there is one.
    pub(super) fn cancel_job(&mut self) {
        self.drop_job();
        self.refresh();
    }

    pub(super) fn drop_job(&mut self) {
        match self.job.take().map(|job| (job.id, job.what)) {
            Some((_, What::Preview(_) | What::Scan(..))) => self.imaging.end(),
            // Its half a file goes at once: the book may need the room.
            Some((id, _)) => {
                self.imaging.cancel(id);
                self.imaging.rest(|| dispatch(Msg::WorkerIdle));
            }
            None => {}
        }
        self.device.job = None;
    }

    /// The worker says something. What belongs to no running job is old and dropped.
    pub(super) fn worker(&mut self, said: Said) {
        let running = self.job.as_ref().map(|j| j.id);
        match said {
            Said::Progress(id, done) if Some(id) == running => {
                if let Some((_, at)) = &mut self.device.job {
                    *at = done;
                }
                self.show_job();
            }
            Said::Fault { id, text } if running.is_some() && (Some(id) == running || id == 0) => {
                let file = match self.job.take().map(|job| job.what) {
                    Some(What::Preview(file)) => file,
                    Some(What::Scan(Step::Open(file), _)) => Some(file),
                    Some(What::Scan(..)) => self.scan.as_ref().and_then(|scan| scan.file.clone()),
                    Some(What::Film(_)) => self.picture.as_ref().and_then(|picture| picture.file.clone()),
                    Some(What::File) | None => None,
                };
                self.device.job = None;
                self.imaging.end();
                self.say(&file.map_or_else(|| text.clone(), |file| format!("{}: {text}", file.name())));
                self.refresh();
            }
            Said::Done { id, result, blob, lightness } if Some(id) == running => {
                let Some(job) = self.job.take() else { return };
                self.imaging.rest(|| dispatch(Msg::WorkerIdle));
                match job.what {
                    What::Preview(file) => self.opened(file, result, lightness),
                    What::Scan(step, wish) => self.scanned(step, *wish, result, lightness),
                    what => self.written(id, what, result, blob),
                }
            }
            _ => {}
        }
    }

    fn opened(&mut self, file: Option<File>, result: JsValue, lightness: Option<Vec<u8>>) {
        self.device.job = None;
        let (Ok(done), Some(lightness)) = (from_js::<PreviewDone>(result), lightness) else { return };
        let name = file.as_ref().map_or_else(|| self.book.ticket().picture.name.clone(), File::name);
        let facts = facts_of(done.facts, name);
        self.drawn = None;
        self.picture =
            Some(Picture { file, width: done.width, height: done.height, lightness, counted: None });
        let facts = if facts.format == "demo" { self.book.ticket().picture.clone() } else { facts };
        self.device.picture = Some(facts.clone());
        if self.book.ticket().picture != facts {
            let change = negative::picture_opened(&facts, &self.scene());
            self.change(change, "negative/opened", false);
        }
        self.refresh();
    }

    /// The parts of a file are written: it is handed over, and a film then belongs to the book.
    fn written(&mut self, id: u32, what: What, result: JsValue, blob: Option<Blob>) {
        self.job = Some(Job { id, what });
        let Ok(saved) = from_js::<Saved>(result) else { return };
        spawn_local(async move {
            let name = saved.file_name.clone();
            let blob = save::assemble(&saved, blob).await;
            dispatch(Msg::Handover(id, blob, name));
        });
    }

    /// Whether that job is still wanted.
    pub(super) fn has_job(&self, id: u32) -> bool {
        self.job.as_ref().is_some_and(|j| j.id == id)
    }

    /// A file is out of the house, or is not.
    pub(super) fn saved(&mut self, job: Option<u32>, outcome: Result<(), String>) {
        if let Err(why) = &outcome {
            self.say(&format!(
                "The file could not be saved: {why}. Free some room on the device and try again."
            ));
        }
        if job.is_some() && self.job.as_ref().map(|j| j.id) == job {
            self.device.job = None;
            if let (Some(Job { what: What::Film(plan), .. }), Ok(())) = (self.job.take(), outcome) {
                let change = negative::film_made(&plan, &self.scene());
                self.change(change, "negative/film", false);
            }
        }
        self.refresh();
    }

    /// Counts the tones of the part of the picture that is used, when it is another than before.
    #[inline(never)] // a gate, as below
    pub(super) fn count(&mut self) {
        let used = negative::used_part(&self.scene());
        let Some(picture) = &mut self.picture else {
            self.device.picture_tones = None;
            return;
        };
        let part = Part::of(used, picture.width, picture.height);
        if picture.counted.replace(part) != Some(part) {
            let mut counts = [0; 256];
            for l in part.rows(picture.width, &picture.lightness).flatten() {
                counts[usize::from(*l)] += 1;
            }
            self.device.picture_tones = negative::picture_tones(&counts);
        }
    }

    /// Draws the previews of the picture in hand, if their canvases are on screen.
    #[inline(never)] // a gate: nothing is in hand before the rest is here
    pub(super) fn draw(&mut self) {
        let wanted =
            self.book.ticket().picture.format == "demo" && self.device.demo && self.picture.is_none();
        let negative = crate::stations::place("negative") == Some(self.shown);
        if !negative {
            return;
        }
        // Once: what cannot be drawn would be asked for again at every showing.
        if wanted && self.job.is_none() && !std::mem::replace(&mut self.demo_drawn, true) {
            self.preview(None, "Drawing the demo's picture");
            return;
        }
        let Some(picture) = &self.picture else { return };
        let used = negative::used_part(&self.scene());
        preview::frame(used);
        let part = Part::of(used, picture.width, picture.height);
        if self.drawn == Some(part) {
            return;
        }
        let correction = &self.tone.1.correction;
        let tone = |l: u8| f64::from(l) / 255.0;
        let print = |l: u8| grey(correction.expected_lightness(tone(l)));
        // Full ink is dark to the eye, clear film light.
        let film = |l: u8| level(1.0 - correction.at(tone(l)));
        preview::draw("print", picture.width, &picture.lightness, part, false, print);
        preview::draw("film", picture.width, &picture.lightness, part, true, film);
        if self.drawn.is_none() {
            let whole = Part::of(Crop::WHOLE, picture.width, picture.height);
            preview::draw("whole", picture.width, &picture.lightness, whole, false, print);
        }
        self.drawn = Some(part);
    }
}

/// What the head of a picture file said, under its name.
pub(super) fn facts_of(facts: job::Facts, name: String) -> PictureFacts {
    PictureFacts {
        name,
        width: facts.width,
        height: facts.height,
        bits: facts.depth,
        format: facts.format,
        profile: facts.profile,
        remarks: facts.notes,
    }
}

/// A share of 255.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..255")]
fn level(share: f64) -> u8 {
    (share.clamp(0.0, 1.0) * 255.0 + 0.5) as u8
}

/// The screen's grey of a lightness L* (IEC 61966-2-1, sRGB).
pub(super) fn grey(lightness: f64) -> u8 {
    let y = sorrel_core::tone::lightness::to_factor(lightness);
    level(if y <= 0.003_130_8 { 12.92 * y } else { 1.055 * math::pow(y, 1.0 / 2.4) - 0.055 })
}

fn spec(plan: &FilmPlan) -> FilmSpec {
    FilmSpec {
        width_mm: plan.width_mm,
        height_mm: plan.height_mm,
        ppi: plan.ppi,
        fit: match plan.crop {
            Some([left, top, width, height]) => Fit::Crop { left, top, width, height },
            None => Fit::Whole,
        },
        border_mm: plan.border_mm,
        masked_border: plan.masked_border,
        strip: plan.strip,
        label: plan.label.clone(),
        top: plan.even.as_ref().map(|even| even.top.clone()).unwrap_or_default(),
        ..FilmSpec::default()
    }
}
