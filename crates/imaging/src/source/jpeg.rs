//! JPEG: decoded whole by `zune-jpeg`, after an estimate from its header.

use super::{BROKEN, Body, Colour, Head, Orientation, Reader, buffer, cmyk, orientation, pixels, unreadable};
use crate::fault::Fault;
use crate::grey::{Pixels, Samples};
use std::io::{Read, Seek, SeekFrom};
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;
use zune_jpeg::{JpegDecoder, errors::DecodeErrors};

/// How far from its end a file is searched for the end-of-image mark; some cameras append data after it.
const TAIL: u64 = 4 << 20;

fn options(colour: bool) -> DecoderOptions {
    DecoderOptions::default()
        .set_max_width(super::MAX_SIDE as usize)
        .set_max_height(super::MAX_SIDE as usize)
        .jpeg_set_out_colorspace(if colour { ColorSpace::RGB } else { ColorSpace::Luma })
}

fn fault(e: &DecodeErrors) -> Fault {
    match e {
        DecodeErrors::Unsupported(_) => Fault::file(
            "This JPEG is of a rare kind (arithmetic or lossless coding) that is not read here.",
            "Export it again as an ordinary JPEG, or as a 16-bit TIFF.",
        ),
        _ => Fault::damaged("JPEG", BROKEN),
    }
}

pub(super) fn open(mut reader: Reader<'_>) -> Result<(Head, Body<'_>), Fault> {
    let mut decoder = JpegDecoder::new_with_options(&mut reader, options(true));
    decoder.decode_headers().map_err(|e| fault(&e))?;
    let space = decoder.input_colorspace();
    let Some(info) = decoder.info() else {
        return Err(Fault::damaged("JPEG", "it has no header"));
    };
    let icc = decoder.icc_profile();
    let orientation = decoder.exif().map_or(Orientation::UPRIGHT, |e| orientation::from_exif(e));
    drop(decoder);

    let colour = match (space, info.components) {
        (Some(ColorSpace::Luma), _) | (_, 1) => false,
        (Some(ColorSpace::CMYK | ColorSpace::YCCK), _) | (_, 4) => return Err(cmyk("JPEG")),
        (_, 3) => true,
        (_, n) => return Err(Fault::damaged("JPEG", format!("{n} channels"))),
    };
    whole_file(&mut reader)?;
    let channels = if colour { 3 } else { 1 };
    let area = u64::from(info.width) * u64::from(info.height);
    // A progressive picture keeps its 16-bit coefficients until the last scan.
    let progressive = format!("{:?}", info.sof).contains("Progressive");
    let memory = area * channels * if progressive { 3 } else { 1 };
    let mut notes = Vec::new();
    if progressive {
        notes.push("A progressive JPEG takes three times the memory of an ordinary one.".into());
    }
    let head = Head {
        format: "JPEG",
        width: u32::from(info.width),
        height: u32::from(info.height),
        depth: 8,
        pixels: pixels(if colour { 3 } else { 1 }, Samples::Eight),
        colour: icc.map_or(Colour::Unsaid, Colour::Icc),
        orientation,
        memory,
        notes,
    };
    Ok((head, Body::Jpeg(reader)))
}

/// A decoder fills what is missing with grey; a cut-off picture must be noticed before it is printed.
fn whole_file(reader: &mut Reader<'_>) -> Result<(), Fault> {
    let start = reader.stream_position().map_err(|e| unreadable(&e))?;
    let end = reader.seek(SeekFrom::End(0)).map_err(|e| unreadable(&e))?;
    let from = start.max(end.saturating_sub(TAIL));
    // Look at the last bytes first; nearly every file ends with its mark.
    for from in [from.max(end.saturating_sub(64)), from] {
        reader.seek(SeekFrom::Start(from)).map_err(|e| unreadable(&e))?;
        let mut tail = Vec::new();
        reader.by_ref().take(TAIL).read_to_end(&mut tail).map_err(|e| unreadable(&e))?;
        if tail.windows(2).any(|w| w == [0xFF, 0xD9]) {
            return Ok(());
        }
    }
    Err(Fault::damaged("JPEG", "its end is missing"))
}

pub(super) fn decode(mut reader: Reader<'_>, pixels: Pixels, size: (u32, u32)) -> Result<Vec<u8>, Fault> {
    reader.seek(SeekFrom::Start(0)).map_err(|e| unreadable(&e))?;
    // The same type as in `open`, so that the decoder is in the module once.
    let mut decoder = JpegDecoder::new_with_options(&mut reader, options(pixels.colour()));
    decoder.decode_headers().map_err(|e| fault(&e))?;
    let bytes = u64::from(size.0) * u64::from(size.1) * pixels.bytes() as u64;
    if decoder.output_buffer_size().map(|b| b as u64) != Some(bytes) {
        return Err(Fault::damaged("JPEG", "its size changed while it was read"));
    }
    let mut out = buffer(bytes)?;
    decoder.decode_into(&mut out).map_err(|e| fault(&e))?;
    Ok(out)
}
