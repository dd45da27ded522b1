//! PNG: row by row where it is not interlaced.

use super::{
    BROKEN, Body as AnyBody, Colour, Head, Orientation, Reader, Rows, buffer, orientation, past_the_end,
    pixels,
};
use crate::fault::Fault;
use crate::grey::{Greyer, Samples};
use ::png::{BitDepth, ColorType, Decoder, DecodingError, Limits, Transformations};

fn fault(e: DecodingError) -> Fault {
    match e {
        DecodingError::IoError(e) if e.kind() != std::io::ErrorKind::UnexpectedEof => super::unreadable(&e),
        DecodingError::LimitsExceeded => Fault::limit(
            "The PNG carries more data beside its picture than is read here.",
            "Export it again without extras.",
        ),
        _ => Fault::damaged("PNG", BROKEN),
    }
}

/// A PNG behind its header.
pub(super) struct Body<'a> {
    reader: ::png::Reader<Reader<'a>>,
    line: usize,
}

impl Body<'_> {
    /// Can it be read row by row?
    pub(super) fn streams(&self) -> bool {
        !self.reader.info().interlaced
    }

    /// The picture as it is stored.
    pub(super) fn whole(mut self, size: (u32, u32)) -> Result<Vec<u8>, Fault> {
        let mut out = buffer(self.line as u64 * u64::from(size.1))?;
        self.reader.next_frame(&mut out).map_err(fault)?;
        Ok(out)
    }
}

pub(super) fn open(reader: Reader<'_>, limit: u64) -> Result<(Head, AnyBody<'_>), Fault> {
    let bytes = usize::try_from(limit).unwrap_or(usize::MAX).min(1 << 30);
    let mut decoder = Decoder::new_with_limits(reader, Limits { bytes });
    // Palettes become RGB, fewer than 8 bits become 8, a transparent colour becomes opacity.
    decoder.set_transformations(Transformations::EXPAND);
    decoder.set_ignore_text_chunk(true);
    let reader = decoder.read_info().map_err(fault)?;
    let (kind, depth) = reader.output_color_type();
    let info = reader.info();
    let samples = if depth == BitDepth::Sixteen { Samples::SixteenBig } else { Samples::Eight };
    let channels = match kind {
        ColorType::Grayscale => 1,
        ColorType::GrayscaleAlpha => 2,
        ColorType::Rgb => 3,
        ColorType::Rgba => 4,
        ColorType::Indexed => return Err(Fault::damaged("PNG", "its palette is missing")),
    };
    let pixels = pixels(channels, samples);
    let line = u64::from(info.width) * pixels.bytes() as u64;
    let mut notes = Vec::new();
    if channels == 2 || channels == 4 {
        notes.push("Transparent parts were laid over white.".into());
    }
    if info.interlaced {
        notes.push("The PNG is interlaced and has to be held in memory whole.".into());
    }
    if info.is_animated() {
        notes.push("Only the first picture of the animation is used.".into());
    }
    let orientation = info.exif_metadata.as_ref().map_or(Orientation::UPRIGHT, |e| orientation::from_exif(e));
    let held = info.interlaced || orientation != Orientation::UPRIGHT;
    let head = Head {
        format: "PNG",
        width: info.width,
        height: info.height,
        depth: if samples == Samples::Eight { 8 } else { 16 },
        pixels,
        colour: colour(info),
        orientation,
        memory: if held { line * u64::from(info.height) } else { line * 4 },
        notes,
    };
    let line = usize::try_from(line).map_err(|_| Fault::damaged("PNG", "it is too wide"))?;
    if reader.output_line_size(head.width) != Some(line) {
        return Err(Fault::damaged("PNG", "its rows have an odd length"));
    }
    Ok((head, AnyBody::Png(Box::new(Body { reader, line }))))
}

/// PNG third edition, 4.3: iCCP goes before sRGB, sRGB before gAMA and cHRM.
fn colour(info: &::png::Info<'_>) -> Colour {
    if let Some(icc) = &info.icc_profile {
        return Colour::Icc(icc.to_vec());
    }
    if info.srgb.is_some() {
        return Colour::Srgb;
    }
    let Some(gamma) = info.gama_chunk else { return Colour::Unsaid };
    let pair = |(x, y): (::png::ScaledFloat, ::png::ScaledFloat)| {
        [f64::from(x.into_scaled()) / 1e5, f64::from(y.into_scaled()) / 1e5]
    };
    let primaries = info.chrm_chunk.map(|c| [pair(c.white), pair(c.red), pair(c.green), pair(c.blue)]);
    // gAMA stores the encoding exponent; light is the sample to the power of its inverse.
    Colour::Gamma { exponent: 1e5 / f64::from(gamma.into_scaled()), primaries }
}

/// Rows as they are decoded.
pub(super) struct Stream<'a> {
    body: Body<'a>,
    size: (u32, u32),
    greyer: Greyer,
    line: Vec<u8>,
    read: u32,
}

impl<'a> Stream<'a> {
    pub(super) fn new(body: Body<'a>, size: (u32, u32), greyer: Greyer) -> Self {
        let line = vec![0; body.line];
        Self { body, size, greyer, line, read: 0 }
    }
}

impl Rows for Stream<'_> {
    fn size(&self) -> (u32, u32) {
        self.size
    }

    fn next_row(&mut self, out: &mut [f32]) -> Result<(), Fault> {
        if self.read >= self.size.1 {
            return Err(past_the_end());
        }
        self.read += 1;
        match self.body.reader.read_row(&mut self.line).map_err(fault)? {
            Some(_) => self.greyer.row(&self.line, &mut out[..self.size.0 as usize]),
            None => Err(past_the_end()),
        }
    }
}
