//! Reading a chart back from a scan: the picture is opened for the eye, then its chart is named, then read.

use sorrel_core::negative::Crop;
use sorrel_core::scan::Remark;
use sorrel_core::tone::chart_plan::Identity;
use sorrel_core::tone::page::scan::{ScanFound, ScanInHand, ScanWish, Wanted};
use sorrel_imaging::job::{Field, PreviewAsk, PreviewDone, ScanAsk, ScanDone, kind};
use wasm_bindgen::JsValue;
use web_sys::File;

use super::App;
use super::imaging::{Picture, What, facts_of, limit};
use crate::binder::from_js;
use crate::preview::{self, Part};

/// What a scan job is about.
pub(super) enum Step {
    /// Opened for the eye; then read.
    Open(File),
    /// Asked which chart it is; then read.
    Name,
    /// Read.
    Read,
    /// A scan of blank paper: its shading.
    Blank,
}

impl App {
    /// A scan was chosen.
    pub(super) fn scan_picked(&mut self, file: File, wish: ScanWish) {
        self.say("");
        self.drop_job();
        (self.scan, self.device.scan) = (None, None);
        let ask = PreviewAsk { limit_bytes: limit(), ..PreviewAsk::default() };
        let (sent, label) = (JsValue::from(&file), format!("Opening {}", file.name()));
        self.post(kind::PREVIEW, &ask, &sent, What::Scan(Step::Open(file), Box::new(wish)), &label);
    }

    /// A scan of blank paper was chosen.
    pub(super) fn blank_picked(&mut self, file: &File, wish: ScanWish) {
        self.say("");
        self.drop_job();
        let ask = ScanAsk {
            limit_bytes: limit(),
            what: "blank".into(),
            light: wish.light.into(),
            gamma: wish.gamma,
            ..ScanAsk::default()
        };
        let what = What::Scan(Step::Blank, Box::new(wish));
        self.post(kind::SCAN, &ask, &JsValue::from(file), what, "Reading the blank scan");
    }

    /// Reads the scan in hand.
    pub(super) fn read_scan(&mut self, wish: ScanWish) {
        let Some(file) = self.scan.as_ref().and_then(|scan| scan.file.clone()) else {
            self.say("The scan is no longer in hand. Open it again.");
            return;
        };
        self.say("");
        let mut ask = ScanAsk {
            limit_bytes: limit(),
            light: wish.light.into(),
            gamma: wish.gamma,
            marks: wish.marks.clone(),
            densities: wish.densities.clone(),
            anchors: wish.anchors.clone(),
            shading: wish.shading.clone(),
            masked: wish.masked_corners(),
            ..ScanAsk::default()
        };
        if !wish.densities.is_empty() {
            let columns = u32::try_from(wish.densities.len()).unwrap_or(0);
            ask.grey_scale = Field { corners: wish.scale.clone(), columns, rows: 1, order: 0 };
        }
        let step = match &wish.wanted {
            Wanted::Look => {
                self.say("Place the four corners of the chart on the picture, then read it again.");
                return;
            }
            Wanted::Other(other) => {
                ask.what = "field".into();
                ask.count = u32::try_from(other.codes.len()).unwrap_or(0);
                ask.field = Field {
                    corners: std::mem::take(&mut ask.marks),
                    columns: other.columns,
                    rows: other.rows,
                    order: other.order,
                };
                Step::Read
            }
            Wanted::Own { named: Some(identity), coat } => {
                ask.patches = u32::try_from(identity.patches.count()).unwrap_or(0);
                ask.seed = identity.seed.into();
                (ask.width_mm, ask.height_mm) = *coat;
                Step::Read
            }
            Wanted::Own { named: None, coat } => {
                ask.what = "name".into();
                (ask.width_mm, ask.height_mm) = *coat;
                Step::Name
            }
        };
        self.post(
            kind::SCAN,
            &ask,
            &JsValue::from(&file),
            What::Scan(step, Box::new(wish)),
            "Reading the chart",
        );
    }

    /// One step is done.
    pub(super) fn scanned(
        &mut self,
        step: Step,
        mut wish: ScanWish,
        result: JsValue,
        lightness: Option<Vec<u8>>,
    ) {
        self.device.job = None;
        match step {
            Step::Open(file) => {
                let (Ok(done), Some(lightness)) = (from_js::<PreviewDone>(result), lightness) else { return };
                let facts = facts_of(done.facts, file.name());
                self.scan = Some(Picture {
                    file: Some(file),
                    width: done.width,
                    height: done.height,
                    lightness,
                    counted: None,
                });
                self.device.scan = Some(ScanInHand { facts, found: None });
                self.draw_scan();
                self.read_scan(wish);
            }
            Step::Name => {
                let Ok(done) = from_js::<ScanDone>(result) else { return };
                match (Identity::parse(&done.name), &mut wish.wanted) {
                    (Some(identity), Wanted::Own { named, .. }) => {
                        *named = Some(identity);
                        self.read_scan(wish);
                    }
                    _ => self.say(
                        "The squares that name the chart cannot be read. Type its name, which stands on the film, and read it again.",
                    ),
                }
            }
            Step::Blank => {
                let Ok(done) = from_js::<ScanDone>(result) else { return };
                let numbers: Vec<String> = done.shading.iter().map(f64::to_string).collect();
                let change = self.book.on_setup(|setup| setup.tone.scan.shading = numbers.join(" "));
                self.change(change, "tone/scan-blank", false);
            }
            Step::Read => {
                let Ok(done) = from_js::<ScanDone>(result) else { return };
                if let Some(scan) = &mut self.device.scan {
                    scan.found = Some(found(done, &wish, &scan.facts.name).outlined());
                }
            }
        }
        self.refresh();
    }

    /// Puts the scan aside.
    pub(super) fn close_scan(&mut self) {
        (self.scan, self.device.scan) = (None, None);
        self.refresh();
    }

    /// Draws the scan in hand. Once is enough: nothing typed changes it, and its canvas stays.
    fn draw_scan(&self) {
        let Some(scan) = &self.scan else { return };
        let whole = Crop { left: 0.0, top: 0.0, width: 1.0, height: 1.0 };
        let part = Part::of(whole, scan.width, scan.height);
        preview::draw("scan", scan.width, &scan.lightness, part, false, |l| {
            super::imaging::grey(f64::from(l) / 2.55)
        });
    }
}

fn texts(remarks: &[u8]) -> Vec<String> {
    remarks.iter().filter_map(|code| Some(Remark::from_code(*code)?.text().to_owned())).collect()
}

fn found(done: ScanDone, wish: &ScanWish, file: &str) -> ScanFound {
    let none = (0.0, 0.0);
    let (name, coat, codes, marks) = match &wish.wanted {
        Wanted::Own { named, coat } => {
            (named.map(Identity::text).unwrap_or_default(), *coat, done.codes, done.marks)
        }
        Wanted::Other(other) => (String::new(), none, other.codes.clone(), wish.marks.clone()),
        Wanted::Look => (String::new(), none, Vec::new(), Vec::new()),
    };
    ScanFound {
        file: file.into(),
        name,
        coat,
        coat_seen: done.coat.first().copied().zip(done.coat.get(1).copied()),
        map: done.map,
        scale: done.scale,
        marks,
        codes,
        lightness: done.lightness,
        flags: done.flags,
        spots: [done.masked, done.clear, done.paper],
        ground: done.ground.chunks_exact(3).map(|g| (g[0], g[1], g[2])).collect(),
        claim: done.claim,
        half_width: done.half_width,
        remarks: texts(&done.remarks),
        profile: done.profile,
        says_light: done.says_light,
        wish: wish.clone(),
        white: done.white,
        outlines: Vec::new(),
    }
}
