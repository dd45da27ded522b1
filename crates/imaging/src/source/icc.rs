//! From a colour description to tables of Y.
//!
//! Sources: ICC.1:2022 (curves 10.6 and 10.18, matrix model 7.3 of the profile types, D50 connection space),
//! IEC 61966-2-1 (sRGB), PNG third edition (gAMA and cHRM), Lindbloom's form of the Bradford adaptation as the ICC
//! specification prints it in annex E.

use crate::grey::{Pixels, Tones};
use crate::table::{After, Curve1, Space, Table};
use moxcms::{ColorProfile, DataColorSpace, LutStore, LutType, LutWarehouse, ProfileText, ToneReprCurve};
use sorrel_core::math;
use std::sync::Arc;

/// White of the profile connection space (ICC.1:2022, 7.2.16).
const D50: [f64; 3] = [0.9642, 1.0, 0.8249];
/// Chromaticities of sRGB's white, red, green and blue (IEC 61966-2-1).
const SRGB: [[f64; 2]; 4] = [[0.3127, 0.3290], [0.64, 0.33], [0.30, 0.60], [0.15, 0.06]];
/// Bradford cone responses (ICC.1:2022, annex E.3).
const BRADFORD: [[f64; 3]; 3] =
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];

/// What a file says about its colours.
#[derive(Clone, Debug, Default)]
pub enum Colour {
    /// Nothing: taken as sRGB.
    #[default]
    Unsaid,
    /// sRGB by name.
    Srgb,
    /// An embedded ICC profile.
    Icc(Vec<u8>),
    /// A power law and primaries (PNG gAMA and cHRM); white, red, green, blue as x and y.
    Gamma {
        /// Exponent that turns samples into light.
        exponent: f64,
        /// Chromaticities, sRGB's where none are given.
        primaries: Option<[[f64; 2]; 4]>,
    },
}

/// Tables for a colour description.
pub(super) struct Reading {
    /// From samples to Y.
    pub tones: Tones,
    /// Name to show.
    pub name: String,
    /// What the printer should know.
    pub note: Option<String>,
}

/// Makes tables for `pixels` from what the file says. Never fails: what is not understood is read as sRGB, with a note.
pub(super) fn read(colour: &Colour, pixels: Pixels) -> Reading {
    let plain = |tones, name: &str| Reading { tones, name: name.into(), note: None };
    match colour {
        Colour::Unsaid => plain(srgb(pixels), "sRGB (none embedded)"),
        Colour::Srgb => plain(srgb(pixels), "sRGB"),
        Colour::Gamma { exponent, primaries } => gamma(*exponent, primaries.as_ref(), pixels),
        Colour::Icc(bytes) => profile(bytes, pixels).unwrap_or_else(|why| Reading {
            tones: srgb(pixels),
            name: "sRGB (embedded profile not used)".into(),
            note: Some(format!("The embedded colour profile was not used ({why}); sRGB was assumed.")),
        }),
    }
}

/// sRGB's curve, 0..1 to linear 0..1.
pub fn srgb_curve(v: f64) -> f64 {
    if v <= 0.040_45 { v / 12.92 } else { math::pow((v + 0.055) / 1.055, 2.4) }
}

fn srgb(pixels: Pixels) -> Tones {
    if pixels.colour() {
        let share = shares(&SRGB).unwrap_or([0.2225, 0.7169, 0.0606]);
        Tones::sum(pixels.samples, share, |_, v| srgb_curve(v))
    } else {
        Tones::grey(pixels.samples, srgb_curve)
    }
}

fn gamma(exponent: f64, primaries: Option<&[[f64; 2]; 4]>, pixels: Pixels) -> Reading {
    if !(exponent.is_finite() && (0.1..=10.0).contains(&exponent)) {
        return Reading {
            tones: srgb(pixels),
            name: "sRGB (odd gamma not used)".into(),
            note: Some("The file's gamma makes no sense and was not used; sRGB was assumed.".into()),
        };
    }
    let curve = |v: f64| math::pow(v, exponent);
    let (share, note) = match primaries.map(|p| (shares(p), p)) {
        Some((Some(share), _)) => (Some(share), None),
        Some((None, _)) => (None, Some("The file's primaries make no sense; sRGB's were used.".to_string())),
        None => (None, None),
    };
    let share = share.or_else(|| shares(&SRGB)).unwrap_or([0.2225, 0.7169, 0.0606]);
    let tones = if pixels.colour() {
        Tones::sum(pixels.samples, share, |_, v| curve(v))
    } else {
        Tones::grey(pixels.samples, curve)
    };
    Reading { tones, name: format!("gamma {exponent:.2}"), note }
}

fn profile(bytes: &[u8], pixels: Pixels) -> Result<Reading, String> {
    let profile = ColorProfile::new_from_slice(bytes).map_err(|_| "it is damaged".to_string())?;
    let name = name(&profile);
    let done = |tones| Ok(Reading { tones, name: name.clone(), note: None });
    match (profile.color_space, pixels.colour()) {
        (DataColorSpace::Gray, false) => {
            let curve = profile.gray_trc.as_ref().ok_or("it has no grey curve")?;
            let curve = Curve::new(curve)?;
            if profile.pcs == DataColorSpace::Lab {
                // With a Lab connection space the curve gives L*, not Y.
                done(Tones::grey(pixels.samples, |v| luminance(curve.at(v))))
            } else {
                done(Tones::grey(pixels.samples, |v| curve.at(v)))
            }
        }
        (DataColorSpace::Rgb, true) => {
            let tables = [&profile.lut_a_to_b_colorimetric, &profile.lut_a_to_b_perceptual];
            if let Some(table) = tables.into_iter().flatten().next() {
                return done(through_table(&profile, table)?);
            }
            let missing = "it has neither curves nor a table";
            let curves = [
                Curve::new(profile.red_trc.as_ref().ok_or(missing)?)?,
                Curve::new(profile.green_trc.as_ref().ok_or(missing)?)?,
                Curve::new(profile.blue_trc.as_ref().ok_or(missing)?)?,
            ];
            let share = [profile.red_colorant.y, profile.green_colorant.y, profile.blue_colorant.y];
            let sum: f64 = share.iter().sum();
            if !(0.9..1.1).contains(&sum) {
                return Err("its primaries do not add up to white".into());
            }
            done(Tones::sum(pixels.samples, share, |c, v| curves[c].at(v)))
        }
        (DataColorSpace::Rgb, false) => Err("it is for RGB and the picture is grey".into()),
        (DataColorSpace::Gray, true) => Err("it is for grey and the picture is RGB".into()),
        (DataColorSpace::Cmyk, _) => Err("it is for CMYK".into()),
        _ => Err("its colour space is not read here".into()),
    }
}

/// Largest value of the connection space's XYZ encoding (ICC.1:2022, 6.3.4.2): 1 + 32767/32768.
const XYZ_SCALE: f32 = 65_535.0 / 32_768.0;
/// Full scale of L* in the 16-bit encoding of lut16Type, where 65280 is L* 100 (10.10).
const LEGACY_LAB_SCALE: f32 = 65_535.0 / 65_280.0;

/// Reads a profile's table for Y.
fn through_table(profile: &ColorProfile, table: &LutWarehouse) -> Result<Tones, String> {
    let odd = || "its table is not understood".to_string();
    let lab = match profile.pcs {
        DataColorSpace::Lab => true,
        DataColorSpace::Xyz => false,
        _ => return Err(odd()),
    };
    let channel = usize::from(!lab);
    let made = match table {
        LutWarehouse::Lut(t) => {
            if (t.num_input_channels, t.num_output_channels) != (3, 3) {
                return Err(odd());
            }
            let curve = |store: &LutStore, c: usize, entries: u16| -> Result<Curve1, String> {
                let n = usize::from(entries);
                let values = unit(store);
                Ok(Curve1::through(values.get(c * n..(c + 1) * n).ok_or_else(odd)?))
            };
            let before = |c| curve(&t.input_table, c, t.num_input_table_entries);
            let scale = if t.lut_type == LutType::Lut16 { LEGACY_LAB_SCALE } else { 1.0 };
            Table {
                before: Box::new([before(0)?, before(1)?, before(2)?]),
                points: [usize::from(t.num_clut_grid_points); 3],
                grid: triples(&t.clut_table),
                after: After::Curve(curve(&t.output_table, channel, t.num_output_table_entries)?),
                space: if lab { Space::Lab(scale) } else { Space::Xyz(XYZ_SCALE) },
            }
        }
        LutWarehouse::Multidimensional(t) => {
            if (t.num_input_channels, t.num_output_channels) != (3, 3) {
                return Err(odd());
            }
            let curve = |list: &[ToneReprCurve], c: usize| -> Result<Curve1, String> {
                match list.get(c) {
                    None if list.is_empty() => Ok(Curve1::through(&[])),
                    None => Err(odd()),
                    Some(one) => Curve::new(one).map(|f| Curve1::new(|v| f.at(v))),
                }
            };
            let three = |list: &[ToneReprCurve]| -> Result<Box<[Curve1; 3]>, String> {
                Ok(Box::new([curve(list, 0)?, curve(list, 1)?, curve(list, 2)?]))
            };
            let last = curve(&t.b_curves, channel)?;
            let [x, y, z] = t.matrix.v[channel];
            #[allow(clippy::cast_possible_truncation, reason = "pixels are f32")]
            let row = [x as f32, y as f32, z as f32, t.bias.v[channel] as f32];
            Table {
                before: three(&t.a_curves)?,
                points: [0, 1, 2].map(|c| usize::from(t.grid_points[c])),
                grid: t.clut.as_ref().map(triples).unwrap_or_default(),
                after: After::Matrix { curves: three(&t.m_curves)?, row, last },
                space: if lab { Space::Lab(1.0) } else { Space::Xyz(XYZ_SCALE) },
            }
        }
    };
    let expected: usize = made.points.iter().product();
    if !made.grid.is_empty() && made.grid.len() != expected {
        return Err(odd());
    }
    Ok(Tones::Table(Arc::new(made)))
}

/// Stored numbers as 0..1.
fn unit(store: &LutStore) -> Vec<f64> {
    match store {
        LutStore::Store8(v) => v.iter().map(|v| f64::from(*v) / 255.0).collect(),
        LutStore::Store16(v) => v.iter().map(|v| f64::from(*v) / 65_535.0).collect(),
    }
}

fn triples(store: &LutStore) -> Vec<[f32; 3]> {
    #[allow(clippy::cast_possible_truncation, reason = "pixels are f32")]
    let values: Vec<f32> = unit(store).into_iter().map(|v| v as f32).collect();
    values.as_chunks::<3>().0.to_vec()
}

fn name(profile: &ColorProfile) -> String {
    let text = match &profile.description {
        Some(ProfileText::PlainString(s)) => s.clone(),
        Some(ProfileText::Localizable(all)) => all.first().map(|s| s.value.clone()).unwrap_or_default(),
        Some(ProfileText::Description(d)) => d.ascii_string.clone(),
        None => String::new(),
    };
    let text: String = text.chars().filter(|c| !c.is_control()).take(80).collect();
    if text.trim().is_empty() { "embedded profile without a name".into() } else { text.trim().into() }
}

/// Y of L* (both 0..1) in f64.
fn luminance(l: f64) -> f64 {
    let f = (l + 0.16) / 1.16;
    if l > 0.08 { f * f * f } else { l * 2700.0 / 24389.0 }
}

/// A tone curve of a profile.
enum Curve {
    /// Samples at equal steps, 0..1.
    Samples(Vec<f64>),
    /// g, a, b, c, d, e, f of the general form.
    Formula([f64; 7]),
}

impl Curve {
    fn new(curve: &ToneReprCurve) -> Result<Self, String> {
        match curve {
            ToneReprCurve::Lut(values) => Ok(match values.as_slice() {
                [] => Self::Samples(vec![0.0, 1.0]),
                [gamma] => Self::Formula([f64::from(*gamma) / 256.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
                many => Self::Samples(many.iter().map(|&v| f64::from(v) / 65_535.0).collect()),
            }),
            ToneReprCurve::Parametric(p) => {
                let p: Vec<f64> = p.iter().map(|&v| f64::from(v)).collect();
                // ICC.1:2022 table 68; below the joint -b/a the second and third kinds are flat.
                match *p.as_slice() {
                    [g] => Ok(Self::Formula([g, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0])),
                    [g, a, b] => Ok(Self::Formula([g, a, b, 0.0, -b / a, 0.0, 0.0])),
                    [g, a, b, c] => Ok(Self::Formula([g, a, b, 0.0, -b / a, c, c])),
                    [g, a, b, c, d] => Ok(Self::Formula([g, a, b, c, d, 0.0, 0.0])),
                    [g, a, b, c, d, e, f] => Ok(Self::Formula([g, a, b, c, d, e, f])),
                    _ => Err("its curve is not understood".to_string()),
                }
            }
        }
    }

    /// Value at `v` (0..1), cut to 0..1.
    fn at(&self, v: f64) -> f64 {
        let y = match self {
            Self::Samples(s) => {
                let place = v.clamp(0.0, 1.0) * (s.len() - 1) as f64;
                #[allow(clippy::cast_possible_truncation, reason = "0..len")]
                let i = (place as usize).min(s.len() - 2);
                let part = place - i as f64;
                s[i] + (s[i + 1] - s[i]) * part
            }
            Self::Formula([g, a, b, c, d, e, f]) => {
                if v >= *d {
                    math::pow((a * v + b).max(0.0), *g) + e
                } else {
                    c * v + f
                }
            }
        };
        if y.is_finite() { y.clamp(0.0, 1.0) } else { 0.0 }
    }
}

type Matrix = [[f64; 3]; 3];

fn times(m: &Matrix, v: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|i| m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2])
}

fn inverse(m: &Matrix) -> Option<Matrix> {
    let minor = |r: usize, c: usize| {
        let (r1, r2, c1, c2) = ((r + 1) % 3, (r + 2) % 3, (c + 1) % 3, (c + 2) % 3);
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let det = m[0][0] * minor(0, 0) + m[0][1] * minor(0, 1) + m[0][2] * minor(0, 2);
    if !det.is_finite() || det.abs() < 1e-9 {
        return None;
    }
    Some(std::array::from_fn(|i| std::array::from_fn(|j| minor(j, i) / det)))
}

/// Shares of Y (D50) of red, green and blue, from chromaticities of white, red, green and blue.
fn shares(primaries: &[[f64; 2]; 4]) -> Option<[f64; 3]> {
    let xyz = |[x, y]: [f64; 2]| (y.abs() > 1e-6).then(|| [x / y, 1.0, (1.0 - x - y) / y]);
    let white = xyz(primaries[0])?;
    let (r, g, b) = (xyz(primaries[1])?, xyz(primaries[2])?, xyz(primaries[3])?);
    let columns: Matrix = std::array::from_fn(|i| [r[i], g[i], b[i]]);
    let scale = times(&inverse(&columns)?, white);
    let (from, to) = (times(&BRADFORD, white), times(&BRADFORD, D50));
    if from.iter().any(|v| v.abs() < 1e-9) {
        return None;
    }
    let back = inverse(&BRADFORD)?;
    let mut share = [0.0; 3];
    for (c, primary) in [r, g, b].into_iter().enumerate() {
        let cone = times(&BRADFORD, primary);
        let adapted = times(&back, std::array::from_fn(|i| cone[i] * to[i] / from[i]));
        share[c] = adapted[1] * scale[c];
    }
    let sum: f64 = share.iter().sum();
    (share.iter().all(|s| s.is_finite()) && (0.99..1.01).contains(&sum)).then_some(share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grey::Samples;

    #[test]
    fn shares_of_srgb_are_the_published_ones() {
        // Second row of the matrix of sRGB adapted to D50: 0.2225, 0.7169, 0.0606 (the ICC's sRGB profiles carry it in
        // their rXYZ, gXYZ, bXYZ tags; four digits).
        let share = shares(&SRGB).unwrap();
        for (ours, theirs) in share.iter().zip([0.2225, 0.7169, 0.0606]) {
            assert!((ours - theirs).abs() < 6e-5, "{share:?}");
        }
    }

    #[test]
    fn odd_primaries_are_refused() {
        assert!(shares(&[[0.3127, 0.3290], [0.64, 0.33], [0.64, 0.33], [0.15, 0.06]]).is_none());
        assert!(shares(&[[0.3, 0.0], [0.64, 0.33], [0.3, 0.6], [0.15, 0.06]]).is_none());
        assert!(shares(&[[f64::NAN; 2]; 4]).is_none());
    }

    #[test]
    fn curves_follow_their_kinds() {
        let at = |p: &[f32], v: f64| Curve::new(&ToneReprCurve::Parametric(p.to_vec())).unwrap().at(v);
        assert!((at(&[2.0], 0.5) - 0.25).abs() < 1e-9);
        assert!((at(&[2.0, 2.0, -1.0], 0.75) - 0.25).abs() < 1e-9);
        assert_eq!(at(&[2.0, 2.0, -1.0], 0.25), 0.0);
        assert!((at(&[2.0, 1.0, -0.5, 0.1], 0.25) - 0.1).abs() < 1e-6);
        // sRGB as the fourth kind.
        let srgb = [2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.040_45];
        for v in [0.02, 0.2, 0.9] {
            assert!((at(&srgb, v) - srgb_curve(v)).abs() < 1e-6);
        }
        let table = Curve::new(&ToneReprCurve::Lut(vec![0, 16384, 65535])).unwrap();
        assert!((table.at(0.25) - 8192.0 / 65535.0).abs() < 1e-9);
        let gamma = Curve::new(&ToneReprCurve::Lut(vec![563])).unwrap();
        assert!((gamma.at(0.5) - math::pow(0.5, 563.0 / 256.0)).abs() < 1e-12);
    }

    #[test]
    fn rubbish_profiles_fall_back_with_a_note() {
        let pixels = Pixels { channels: 3, samples: Samples::Eight };
        for bytes in [vec![], vec![7; 20], vec![0; 4000]] {
            let reading = read(&Colour::Icc(bytes), pixels);
            assert!(reading.note.is_some());
        }
        assert!(read(&Colour::Gamma { exponent: f64::NAN, primaries: None }, pixels).note.is_some());
    }
}
