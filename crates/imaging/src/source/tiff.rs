//! TIFF: strip by strip, or one row of tiles after the other.

use super::{
    BROKEN, Body as AnyBody, Colour, Head, Orientation, Reader, Rows, buffer, cmyk, past_the_end, pixels,
};
use crate::fault::{Fault, size_text};
use crate::grey::{Greyer, Pixels, Samples};
use ::tiff::ColorType;
use ::tiff::TiffError;
use ::tiff::decoder::{ChunkType, Decoder, Limits};
use ::tiff::tags::{CompressionMethod, SampleFormat, Tag};

/// Largest ICC profile or other tag that is read, bytes.
const TAG_BYTES: usize = 16 << 20;

fn fault(e: TiffError) -> Fault {
    match e {
        TiffError::IoError(e) if e.kind() != std::io::ErrorKind::UnexpectedEof => super::unreadable(&e),
        TiffError::UnsupportedError(_) => other("of a kind"),
        TiffError::LimitsExceeded => Fault::limit(
            "A piece of this TIFF takes more memory than the limit allows.",
            "Export it again without compression or with fewer pixels.",
        ),
        _ => Fault::damaged("TIFF", BROKEN),
    }
}

fn other(what: &str) -> Fault {
    Fault::file(
        format!("The TIFF is {what} that is not read here."),
        "Export it as a TIFF in grey or RGB with 8 or 16 bits per channel, interleaved, uncompressed or with LZW or \
         ZIP, without layers.",
    )
}

/// A TIFF behind its directory.
pub(super) struct Body<'a> {
    decoder: Decoder<Reader<'a>>,
    pixels: Pixels,
    /// Size of a strip or tile.
    chunk: (u32, u32),
    across: u32,
}

pub(super) fn open(reader: Reader<'_>, limit: u64) -> Result<(Head, AnyBody<'_>), Fault> {
    let bytes = usize::try_from(limit).unwrap_or(usize::MAX);
    let mut limits = Limits::default();
    limits.decoding_buffer_size = bytes;
    limits.intermediate_buffer_size = bytes;
    limits.ifd_value_size = TAG_BYTES.min(bytes);
    let mut decoder = Decoder::new(reader).map_err(fault)?.with_limits(limits);
    let (width, height) = decoder.dimensions().map_err(fault)?;
    let kind = decoder.colortype().map_err(fault)?;
    let mut number = |tag| decoder.find_tag_unsigned::<u16>(tag).map_err(fault);
    let format = number(Tag::SampleFormat).unwrap_or_default();
    let planar = number(Tag::PlanarConfiguration)?;
    let compression = number(Tag::Compression)?.unwrap_or(1);
    let stored_channels = number(Tag::SamplesPerPixel)?.unwrap_or(1);
    let orientation = number(Tag::Orientation).ok().flatten().map_or(Orientation::UPRIGHT, Orientation::new);

    let channels = match kind {
        ColorType::Gray(_) => 1,
        ColorType::GrayA(_) | ColorType::Multiband { num_samples: 2, .. } => 2,
        ColorType::RGB(_) => 3,
        ColorType::RGBA(_) => 4,
        ColorType::CMYK(_) | ColorType::CMYKA(_) => return Err(cmyk("TIFF")),
        ColorType::Palette(_) => return Err(other("one with a palette")),
        ColorType::Lab(_) => return Err(other("one in Lab")),
        _ => return Err(other("one with channels")),
    };
    let samples = match kind.bit_depth() {
        8 => Samples::Eight,
        16 => Samples::SixteenNative,
        n => return Err(other(&format!("one with {n} bits per channel"))),
    };
    if format.is_some_and(|f| f != SampleFormat::Uint.to_u16()) {
        return Err(other("one with floating-point or signed numbers"));
    }
    if planar == Some(2) && channels > 1 {
        return Err(other("one with its channels apart (planar)"));
    }
    if ![
        CompressionMethod::None,
        CompressionMethod::LZW,
        CompressionMethod::Deflate,
        CompressionMethod::OldDeflate,
        CompressionMethod::PackBits,
    ]
    .contains(&CompressionMethod::from_u16_exhaustive(compression))
    {
        return Err(other("one with a compression"));
    }
    if usize::from(stored_channels) != channels {
        return Err(other("one with extra channels"));
    }
    let pixels = pixels(channels, samples);
    let profile = match decoder.find_tag(Tag::IccProfile) {
        Ok(Some(value)) => value.into_u8_vec().map_or(Colour::Unsaid, Colour::Icc),
        _ => Colour::Unsaid,
    };
    let chunk = match decoder.get_chunk_type() {
        ChunkType::Strip => (width, decoder.chunk_dimensions().1.min(height)),
        ChunkType::Tile => decoder.chunk_dimensions(),
    };
    if chunk.0 == 0 || chunk.1 == 0 {
        return Err(Fault::damaged("TIFF", "its pieces have no size"));
    }
    let across = width.div_ceil(chunk.0);
    let mut notes = Vec::new();
    if channels == 2 || channels == 4 {
        notes.push("Transparent parts were laid over white.".into());
    }
    if decoder.more_images() {
        notes.push("Only the first picture of the file is used.".into());
    }
    let line = u64::from(width) * pixels.bytes() as u64;
    let band = line * u64::from(chunk.1.min(height));
    // Reading keeps one band and, with compression, the packed bytes of one piece.
    let held = if orientation == Orientation::UPRIGHT { 0 } else { line * u64::from(height) };
    let memory = held + 2 * band;
    if memory > limit && held == 0 && chunk.1 >= height && height > 1024 {
        return Err(Fault::limit(
            format!(
                "This TIFF keeps its {width} × {height} pixels in one piece; reading it takes about {}, the limit here \
                 is {}.",
                size_text(memory),
                size_text(limit)
            ),
            "Export it with strips (the usual way of saving a TIFF), or with fewer pixels.",
        ));
    }
    let head = Head {
        format: "TIFF",
        width,
        height,
        depth: if samples == Samples::Eight { 8 } else { 16 },
        pixels,
        colour: profile,
        orientation,
        memory,
        notes,
    };
    Ok((head, AnyBody::Tiff(Box::new(Body { decoder, pixels, chunk, across }))))
}

/// Rows, one band of strips or tiles at a time.
pub(super) struct Stream<'a> {
    body: Body<'a>,
    size: (u32, u32),
    greyer: Greyer,
    band: Vec<u8>,
    piece: Vec<u8>,
    read: u32,
}

impl<'a> Stream<'a> {
    pub(super) fn new(body: Body<'a>, size: (u32, u32), greyer: Greyer) -> Self {
        Self { body, size, greyer, band: Vec::new(), piece: Vec::new(), read: 0 }
    }

    /// Bytes of one row of the picture.
    fn line(&self) -> usize {
        self.size.0 as usize * self.body.pixels.bytes()
    }

    /// Reads the band that holds row `self.read`.
    fn next_band(&mut self) -> Result<(), Fault> {
        let index = self.read / self.body.chunk.1;
        let rows = self.body.chunk.1.min(self.size.1 - index * self.body.chunk.1) as usize;
        let line = self.line();
        if self.band.len() != rows * line {
            self.band = buffer((rows * line) as u64)?;
        }
        let pixel = self.body.pixels.bytes();
        for column in 0..self.body.across {
            let number = index * self.body.across + column;
            let width = self.body.chunk.0.min(self.size.0 - column * self.body.chunk.0) as usize;
            let layout = self.body.decoder.image_chunk_buffer_layout(number).map_err(fault)?;
            if layout.len != rows * width * pixel {
                return Err(Fault::damaged("TIFF", "a piece has the wrong size"));
            }
            if self.body.across == 1 {
                self.body.decoder.read_chunk_bytes(number, &mut self.band).map_err(fault)?;
            } else {
                self.piece.resize(layout.len, 0);
                self.body.decoder.read_chunk_bytes(number, &mut self.piece).map_err(fault)?;
                let left = column as usize * self.body.chunk.0 as usize * pixel;
                for (to, from) in self.band.chunks_exact_mut(line).zip(self.piece.chunks_exact(width * pixel))
                {
                    to[left..left + width * pixel].copy_from_slice(from);
                }
            }
        }
        Ok(())
    }

    /// The whole picture as it is stored.
    pub(super) fn whole(mut self) -> Result<Vec<u8>, Fault> {
        let line = self.line();
        let mut out = buffer(line as u64 * u64::from(self.size.1))?;
        while self.read < self.size.1 {
            self.next_band()?;
            let start = self.read as usize * line;
            out[start..start + self.band.len()].copy_from_slice(&self.band);
            self.read += self.body.chunk.1.min(self.size.1 - self.read);
        }
        Ok(out)
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
        let within = self.read % self.body.chunk.1;
        if within == 0 {
            self.next_band()?;
        }
        self.read += 1;
        let line = self.line();
        let start = within as usize * line;
        self.greyer.row(&self.band[start..start + line], &mut out[..self.size.0 as usize])
    }
}
