//! Opening a picture file: header first, then rows of CIE Y, upright, from top to bottom.
//!
//! [`Picture::open`] reads only the header, so that facts, notes and the memory that the rest would take are known
//! before any of it is spent. [`Picture::into_rows`] then gives rows; where the codec permits (PNG without interlace,
//! TIFF) they are decoded as they are asked for, otherwise the decoded picture is held whole, once.

mod icc;
mod jpeg;
mod orientation;
mod png;
mod tiff;
mod whole;

pub use icc::{Colour, srgb_curve};
pub use orientation::Orientation;

use crate::fault::{Fault, size_text};
use crate::grey::{Greyer, Pixels, Samples, Tones};
use crate::job::Facts;
use std::io::{BufReader, Read, Seek, SeekFrom};

/// Where pictures are read from.
pub trait Bytes: Read + Seek {}
impl<T: Read + Seek> Bytes for T {}

/// A buffered picture file of any origin; one type keeps the decoders from being compiled twice.
type Reader<'a> = BufReader<Box<dyn Bytes + 'a>>;

/// What a decoder's own error becomes: its words are for those who write files, and printing them costs kilobytes.
const BROKEN: &str = "its data contradict each other";

/// Largest picture side, pixels. Beyond it files are damaged or hostile.
const MAX_SIDE: u32 = 100_000;

/// Rows of CIE Y, upright, top to bottom.
pub trait Rows {
    /// Width and height in pixels.
    fn size(&self) -> (u32, u32);

    /// The next row, `width` values of Y, 0 (black) to 1 (white).
    ///
    /// # Errors
    /// Whatever keeps the row from being read, and asking for more rows than there are.
    fn next_row(&mut self, out: &mut [f32]) -> Result<(), Fault>;
}

/// What a header says; the same for all three formats.
struct Head {
    format: &'static str,
    width: u32,
    height: u32,
    depth: u8,
    /// How the decoder will hand pixels over.
    pixels: Pixels,
    colour: Colour,
    orientation: Orientation,
    /// Bytes that decoding takes at its peak.
    memory: u64,
    notes: Vec<String>,
}

/// How the code of a file becomes light, when somebody who knows says so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Encoding {
    /// Not at all: rows hold the code as it is.
    Code,
    /// Code is light.
    Linear,
    /// Light is code to this power.
    Gamma(f64),
    /// The curve of sRGB.
    Srgb,
}

enum Body<'a> {
    Jpeg(Reader<'a>),
    Png(Box<png::Body<'a>>),
    Tiff(Box<tiff::Body<'a>>),
}

/// A picture file whose header has been read.
pub struct Picture<'a> {
    facts: Facts,
    stored: (u32, u32),
    orientation: Orientation,
    pixels: Pixels,
    tones: Tones,
    /// The file says how its code becomes light, and it was understood.
    says: bool,
    body: Body<'a>,
}

impl<'a> Picture<'a> {
    /// Reads the header of a JPEG, PNG or TIFF file. `limit` is the memory in bytes that decoding may take.
    ///
    /// # Errors
    /// [`Fault::File`] for what is no such file or not read here (with the export to make), [`Fault::Limit`] when the
    /// picture would take more memory than `limit`, [`Fault::Device`] when the file cannot be read.
    pub fn open(source: impl Read + Seek + 'a, limit: u64) -> Result<Self, Fault> {
        let boxed: Box<dyn Bytes + 'a> = Box::new(source);
        let mut reader = BufReader::with_capacity(1 << 16, boxed);
        let mut mark = [0_u8; 16];
        let mut have = 0;
        while have < mark.len() {
            match reader.read(&mut mark[have..]) {
                Ok(0) => break,
                Ok(n) => have += n,
                Err(e) if e.kind() == std::io::ErrorKind::Interrupted => {}
                Err(e) => return Err(unreadable(&e)),
            }
        }
        reader.seek(SeekFrom::Start(0)).map_err(|e| unreadable(&e))?;
        let (head, body) = match mark[..have] {
            [0xFF, 0xD8, ..] => jpeg::open(reader)?,
            [0x89, b'P', b'N', b'G', ..] => png::open(reader, limit)?,
            [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => tiff::open(reader, limit)?,
            _ => return Err(unknown(&mark[..have])),
        };
        Self::new(head, body, limit)
    }

    fn new(head: Head, body: Body<'a>, limit: u64) -> Result<Self, Fault> {
        if head.width == 0 || head.height == 0 {
            return Err(Fault::damaged(head.format, "it has no pixels"));
        }
        if head.width > MAX_SIDE || head.height > MAX_SIDE {
            return Err(Fault::limit(
                format!(
                    "The picture is {} × {} pixels; at most {MAX_SIDE} on a side are read.",
                    head.width, head.height
                ),
                "Export it smaller.",
            ));
        }
        if head.memory > limit {
            return Err(Fault::limit(
                format!(
                    "Opening this picture of {} × {} pixels takes about {}; the limit here is {}.",
                    head.width,
                    head.height,
                    size_text(head.memory),
                    size_text(limit)
                ),
                "Export it with fewer pixels (a print needs no more than 360 to 720 per inch), or as a TIFF, which is \
                 read piece by piece.",
            ));
        }
        let reading = icc::read(&head.colour, head.pixels);
        let says = reading.note.is_none() && !matches!(head.colour, Colour::Unsaid);
        let mut notes = head.notes;
        notes.extend(reading.note);
        if head.depth == 8 {
            notes.push(
                "8 bits per channel: smooth skies may show steps. A 16-bit TIFF or PNG avoids that.".into(),
            );
        }
        let (width, height) = head.orientation.size((head.width, head.height));
        let memory_bytes = head.memory as f64;
        Ok(Self {
            facts: Facts {
                format: head.format.into(),
                width,
                height,
                depth: head.depth,
                colour: if head.pixels.colour() { "RGB" } else { "grey" }.into(),
                orientation: head.orientation.value(),
                profile: reading.name,
                memory_bytes,
                notes,
            },
            stored: (head.width, head.height),
            orientation: head.orientation,
            pixels: head.pixels,
            tones: reading.tones,
            says,
            body,
        })
    }

    /// Does the file itself say how its code becomes light? Otherwise sRGB was assumed.
    pub fn says_light(&self) -> bool {
        self.says
    }

    /// The same picture, its code read as `encoding` says instead of by its own profile.
    #[must_use]
    pub fn encoded(mut self, encoding: Encoding) -> Self {
        let colour = match encoding {
            Encoding::Code | Encoding::Linear => Colour::Gamma { exponent: 1.0, primaries: None },
            Encoding::Gamma(exponent) => Colour::Gamma { exponent, primaries: None },
            Encoding::Srgb => Colour::Srgb,
        };
        let reading = icc::read(&colour, self.pixels);
        self.tones = reading.tones;
        self.facts.profile = reading.name;
        self
    }

    /// What the header says.
    pub fn facts(&self) -> &Facts {
        &self.facts
    }

    /// Size of the upright picture.
    pub fn size(&self) -> (u32, u32) {
        (self.facts.width, self.facts.height)
    }

    /// Decodes: rows of Y, upright. A JPEG, an interlaced PNG and a turned picture are decoded whole here.
    ///
    /// # Errors
    /// As for [`Picture::open`].
    pub fn into_rows(self) -> Result<Box<dyn Rows + 'a>, Fault> {
        let greyer = Greyer::new(self.pixels, self.tones);
        let whole =
            |bytes| Box::new(whole::Upright::new(bytes, self.stored, self.orientation, greyer.clone()));
        Ok(match self.body {
            Body::Jpeg(reader) => whole(jpeg::decode(reader, self.pixels, self.stored)?),
            Body::Png(body) if body.streams() && self.orientation == Orientation::UPRIGHT => {
                Box::new(png::Stream::new(*body, self.stored, greyer))
            }
            Body::Png(body) => whole(body.whole(self.stored)?),
            Body::Tiff(body) if self.orientation == Orientation::UPRIGHT => {
                Box::new(tiff::Stream::new(*body, self.stored, greyer))
            }
            Body::Tiff(body) => whole(tiff::Stream::new(*body, self.stored, greyer.clone()).whole()?),
        })
    }
}

/// A file that the device did not let us read.
fn unreadable(e: &std::io::Error) -> Fault {
    Fault::device(
        format!("The file could not be read ({e})."),
        "Choose it again; if it lies on a card or in a cloud folder, copy it to this device first.",
    )
}

/// Reading a row after the last.
fn past_the_end() -> Fault {
    Fault::damaged("picture", "it has fewer rows than its header says")
}

/// Bytes for a whole picture, or the limit that forbids them.
fn buffer(bytes: u64) -> Result<Vec<u8>, Fault> {
    let too_much = || {
        Fault::limit(
            format!("The picture takes {} of memory, which this device did not give.", size_text(bytes)),
            "Close other pages, or export the picture with fewer pixels.",
        )
    };
    let bytes = usize::try_from(bytes).map_err(|_| too_much())?;
    let mut buffer = Vec::new();
    buffer.try_reserve_exact(bytes).map_err(|_| too_much())?;
    buffer.resize(bytes, 0);
    Ok(buffer)
}

/// Names what a file probably is, so that the message can say which export to make.
fn unknown(mark: &[u8]) -> Fault {
    let kind = match mark {
        [] => "empty",
        [_, _, _, _, b'f', b't', b'y', b'p', b'h' | b'm', ..] => "a HEIC photograph",
        [_, _, _, _, b'f', b't', b'y', b'p', b'a', b'v', ..] => "an AVIF picture",
        [_, _, _, _, b'f', b't', b'y', b'p', b'c', b'r', ..] => "a raw camera file",
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', ..] => "a WebP picture",
        [b'G', b'I', b'F', b'8', ..] => "a GIF",
        [b'8', b'B', b'P', b'S', ..] => "a layered picture file",
        [b'%', b'P', b'D', b'F', ..] => "a PDF",
        [b'B', b'M', ..] => "a bitmap",
        _ => "of a kind that is not read here",
    };
    Fault::file(
        format!("The file is {kind}."),
        "Export the picture as a 16-bit TIFF or PNG in grey or RGB (8-bit JPEG works too).",
    )
}

/// The refusal for four-ink files.
fn cmyk(format: &str) -> Fault {
    Fault::file(
        format!("The {format} is in CMYK, which has no single grey of its own."),
        "Export it as RGB or grey, best as a 16-bit TIFF.",
    )
}

/// Kind of pixel for a channel count and a depth.
fn pixels(channels: usize, samples: Samples) -> Pixels {
    Pixels { channels, samples }
}
