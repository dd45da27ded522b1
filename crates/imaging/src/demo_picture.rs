//! The demo's picture: an invented slipway in a harbour at low water, in fog. Drawn, not photographed.
//!
//! Everything is arithmetic on the place of a pixel (no transcendental functions, no randomness but a hash), so the
//! picture is the same on every device and at every size. It has what a printer looks for in a test picture: a long
//! bright sky, separated darks in the iron, fine texture in stone and mud, soft and hard edges.

use crate::fault::Fault;
use crate::source::Rows;
use crate::tone::luminance;

/// Width of the demo picture, pixels.
pub const WIDTH: u32 = 2400;
/// Height of the demo picture, pixels.
pub const HEIGHT: u32 = 1800;

/// Height of the horizon, from the top, in picture heights; all other places below are in the same measure.
const HORIZON: f32 = 0.40;
/// Where the slipway's edges meet.
const VANISH: f32 = 0.66;

/// The demo picture as rows.
pub struct DemoPicture {
    width: u32,
    height: u32,
    next: u32,
}

impl DemoPicture {
    /// At a size of its own; shapes other than 4 : 3 show more or less at the sides.
    pub fn new(width: u32, height: u32) -> Self {
        Self { width: width.max(1), height: height.max(1), next: 0 }
    }
}

impl Rows for DemoPicture {
    fn size(&self) -> (u32, u32) {
        (self.width, self.height)
    }

    fn next_row(&mut self, out: &mut [f32]) -> Result<(), Fault> {
        if self.next >= self.height {
            return Err(Fault::caller("There are no more rows.", "Ask for fewer."));
        }
        let unit = 1.0 / self.height as f32;
        let y = (self.next as f32 + 0.5) * unit;
        let middle = 0.5 * (self.width as f32 * unit - 4.0 / 3.0);
        for (column, o) in (0_u32..).zip(out.iter_mut().take(self.width as usize)) {
            let x = (column as f32 + 0.5) * unit - middle;
            let grain = (hash(column.cast_signed(), self.next.cast_signed(), 99) - 0.5) * 0.012;
            *o = luminance(lightness(x, y) + grain);
        }
        self.next += 1;
        Ok(())
    }
}

/// 0…1 from two whole numbers.
fn hash(x: i32, y: i32, seed: u32) -> f32 {
    let mut h = x
        .cast_unsigned()
        .wrapping_mul(0x9E37_79B1)
        .wrapping_add(y.cast_unsigned().wrapping_mul(0x85EB_CA77))
        .wrapping_add(seed.wrapping_mul(0xC2B2_AE3D));
    h = (h ^ (h >> 15)).wrapping_mul(0x2C1B_3C6D);
    h = (h ^ (h >> 12)).wrapping_mul(0x297A_2D39);
    h ^= h >> 15;
    (h >> 8) as f32 / 16_777_216.0
}

/// 0 below `from`, 1 above `to`, smooth between.
#[inline(never)] // drawn once in a while, loaded by everybody
fn smooth(from: f32, to: f32, x: f32) -> f32 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

fn mix(a: f32, b: f32, t: f32) -> f32 {
    a + (b - a) * t
}

/// Soft noise, 0…1.
#[inline(never)] // drawn once in a while, loaded by everybody
fn noise(x: f32, y: f32, seed: u32) -> f32 {
    let (i, j) = (x.floor(), y.floor());
    let (u, v) = (smooth(0.0, 1.0, x - i), smooth(0.0, 1.0, y - j));
    #[allow(clippy::cast_possible_truncation, reason = "places in the picture are small")]
    let (i, j) = (i as i32, j as i32);
    let top = mix(hash(i, j, seed), hash(i + 1, j, seed), u);
    mix(top, mix(hash(i, j + 1, seed), hash(i + 1, j + 1, seed), u), v)
}

/// Noise of several sizes, 0…1.
#[inline(never)] // drawn once in a while, loaded by everybody
fn cloud(mut x: f32, mut y: f32, octaves: u32, seed: u32) -> f32 {
    let (mut sum, mut part, mut all) = (0.0, 0.5, 0.0);
    for o in 0..octaves {
        sum += part * noise(x, y, seed + o);
        all += part;
        part *= 0.5;
        (x, y) = (x * 2.03 + 17.0, y * 2.03 + 5.0);
    }
    sum / all
}

/// L* (0…1) at a place.
fn lightness(x: f32, y: f32) -> f32 {
    let mut l = if y < HORIZON { sky(x, y) } else { water(x, y) };
    l = quay(x, y, l);
    if y > HORIZON {
        l = shore(x, y, l);
        l = slipway(x, y, l);
    }
    l = posts(x, y, l);
    l = chain(x, y, l);
    bollard(x, y, l)
}

fn sky(x: f32, y: f32) -> f32 {
    let t = y / HORIZON;
    let glow = 1.0 - smooth(0.0, 0.75, ((x - 0.5) * (x - 0.5) + (y - 0.33) * (y - 0.33) * 3.0).sqrt());
    let bank = cloud(x * 1.7 + 3.0, y * 6.0, 5, 1) - 0.5;
    let mut l = mix(0.56, 0.84, smooth(0.0, 1.0, t)) + 0.12 * glow + 0.16 * bank * (1.0 - 0.75 * t);
    // Far shore, nearly lost in the fog.
    let ridge = HORIZON - 0.012 - 0.034 * cloud(x * 2.1, 0.0, 4, 11) * smooth(-0.2, 0.9, 1.1 - x);
    let far = smooth(ridge - 0.004, ridge + 0.006, y);
    l = mix(l, 0.79 - 0.03 * noise(x * 60.0, y * 90.0, 12), 0.55 * far);
    l
}

fn water(x: f32, y: f32) -> f32 {
    let near = (y - HORIZON) / 0.3;
    let depth = 0.05 / (y - HORIZON + 0.004);
    let ripple = cloud(x * 9.0 * (0.4 + near), depth * 26.0, 3, 21) - 0.5;
    let fine = noise(x * 70.0 * (0.3 + near), depth * 160.0, 25) - 0.5;
    let glow = 1.0 - smooth(0.0, 0.55, (x - 0.5).abs());
    let base = mix(0.88, 0.60, smooth(0.0, 1.0, near)) + 0.07 * glow;
    base + (0.16 * ripple + 0.05 * fine) * smooth(0.0, 0.5, near + 0.1)
}

/// The quay that runs in from the right, its end and its light, and its reflection.
fn quay(x: f32, y: f32, under: f32) -> f32 {
    let along = x - 0.80;
    // The light on its end.
    let mast = 1.0 - smooth(0.0025, 0.0045, (x - 0.822).abs());
    let lamp = 1.0 - smooth(0.008, 0.011, ((x - 0.822) * (x - 0.822) + (y - 0.268) * (y - 0.268)).sqrt());
    let mut l = under;
    if (0.268..HORIZON).contains(&y) {
        l = mix(l, 0.50, 0.8 * mast);
    }
    l = mix(l, 0.46, 0.85 * lamp);
    let edge = smooth(-0.004, 0.004, along);
    if along < -0.01 {
        return l;
    }
    let top = HORIZON - 0.030 - 0.115 * along;
    let foot = HORIZON + 0.018 + 0.20 * along;
    let wall = edge * smooth(top - 0.0025, top + 0.0015, y) * (1.0 - smooth(foot - 0.002, foot + 0.003, y));
    // Courses of stone in perspective.
    let course = (y - top) / (foot - top);
    let joints = {
        let rows = course * 9.0;
        let shift = if (rows.floor() * 0.5).fract() > 0.25 { 0.5 } else { 0.0 };
        let bays = 11.0 / (along + 0.35) + shift;
        let line = |v: f32, w: f32| 1.0 - smooth(0.0, w, (v - v.round()).abs());
        line(rows, 0.10).max(line(bays, 0.06))
    };
    let stone = noise((11.0 / (along + 0.35)).floor(), (course * 9.0).floor(), 31) - 0.5;
    let weed = smooth(0.55, 0.72, course + 0.10 * (noise(x * 40.0, 0.0, 35) - 0.5));
    let texture = cloud(x * 150.0, y * 150.0, 3, 33) - 0.5;
    let mut face = 0.43 + 0.07 * stone + 0.10 * texture - 0.09 * joints - 0.17 * weed;
    // Coping, lit from above.
    face = mix(face, 0.66, 1.0 - smooth(0.02, 0.07, course));
    let fog = 0.78 - 0.62 * smooth(0.0, 0.55, along);
    l = mix(l, mix(face, 0.82, fog), wall);
    // Reflection, broken by ripples.
    if y > foot {
        let wave = (cloud(x * 20.0, y * 190.0, 2, 37) - 0.5) * 0.05;
        let deep = (y - foot) / (foot - top);
        let mirror = edge * (1.0 - smooth(0.5, 1.1, deep + wave * 8.0));
        l = mix(l, mix(0.40, 0.80, fog), 0.62 * mirror);
    }
    l
}

/// Mud with pools on both sides of the slipway.
fn shore(x: f32, y: f32, under: f32) -> f32 {
    let line = 0.585 + 0.09 * (x - VANISH).abs() + 0.035 * (cloud(x * 4.0, 1.0, 4, 41) - 0.5);
    let land = smooth(line - 0.006, line + 0.008, y);
    if land <= 0.0 {
        return under;
    }
    let depth = 1.0 / (y - HORIZON);
    let (u, v) = ((x - VANISH) * depth, depth);
    let lumps = cloud(u * 6.0, v * 9.0, 5, 43);
    let fine = cloud(u * 60.0, v * 70.0, 3, 47) - 0.5;
    let pools = smooth(0.50, 0.56, cloud(u * 2.3 + 4.0, v * 3.1, 3, 53)) * (1.0 - smooth(0.75, 1.0, y));
    let mud = 0.22 + 0.24 * lumps + 0.13 * fine;
    let pool = 0.70 - 0.25 * smooth(0.55, 1.0, y) + 0.05 * (noise(u * 9.0, v * 30.0, 59) - 0.5);
    mix(under, mix(mud, pool, pools), land)
}

/// Stone setts between two kerbs, wet and weedy towards the water.
fn slipway(x: f32, y: f32, under: f32) -> f32 {
    let below = y - HORIZON;
    let u = (x - VANISH) / below;
    let v = 1.0 / below;
    // It dips into the water at its far end.
    let rise = smooth(0.505, 0.56, y + 0.02 * (noise(x * 25.0, 0.0, 61) - 0.5));
    let soft = 0.003 / below;
    let inside = smooth(-1.02 - soft, -1.02 + soft, u) * (1.0 - smooth(0.30 - soft, 0.30 + soft, u));
    let mut l = under;
    // Shadow of the raised side on the mud.
    let shadow = smooth(0.30, 0.32, u) * (1.0 - smooth(0.33, 0.40, u));
    l = mix(l, 0.10, 0.6 * shadow * smooth(0.56, 0.62, y));
    if inside <= 0.0 {
        return l;
    }
    let row = v * 7.0;
    let shift = if (row.floor() * 0.5).fract() > 0.25 { 0.5 } else { 0.0 };
    let bay = u * 15.0 + shift;
    let gap = |t: f32, w: f32| 1.0 - smooth(w * 0.4, w, 0.5 - (t.fract().abs() - 0.5).abs());
    let wide = (0.07 + 0.02 / below * 0.05).min(0.3);
    let joint = gap(row, wide * 1.2).max(gap(bay, wide));
    let far = smooth(0.60, 0.50, y);
    let stone = hash_place(bay, row, 67) - 0.5;
    let texture = cloud(u * 130.0, v * 70.0, 4, 71) - 0.5;
    let dome = {
        let (a, b) = (bay.fract().abs() - 0.5, row.fract().abs() - 0.5);
        1.0 - 2.0 * (a * a + b * b)
    };
    let wet = 1.0 - smooth(0.62, 0.80, y + 0.06 * (cloud(u * 5.0, v * 3.0, 3, 73) - 0.5));
    let sheen = wet * smooth(0.45, 0.75, cloud(u * 9.0, v * 14.0, 3, 79));
    let mut face = 0.34 + 0.14 * dome + 0.12 * stone + 0.20 * texture;
    face = mix(face, face * 0.62, wet);
    face = mix(face, 0.74, 0.55 * sheen);
    face = mix(face, 0.13, 0.85 * joint * (1.0 - 0.6 * far));
    // Kerbs of long stones.
    let kerb = (1.0 - smooth(-0.95, -0.93, u)).max(smooth(0.22, 0.24, u));
    let kerb_joint = gap(v * 2.6, 0.04);
    let kerb_face = 0.56 + 0.12 * texture - 0.30 * kerb_joint - 0.20 * wet;
    face = mix(face, kerb_face, kerb);
    let lip = 1.0 - smooth(0.0, 0.012, (u - 0.23).abs().min((u + 0.94).abs()));
    face = mix(face, 0.16, 0.7 * lip);
    mix(l, mix(face, 0.72, 0.45 * far), inside * rise)
}

/// A value of its own for each stone.
fn hash_place(a: f32, b: f32, seed: u32) -> f32 {
    #[allow(clippy::cast_possible_truncation, reason = "places in the picture are small")]
    let (a, b) = (a.floor() as i32, b.floor() as i32);
    hash(a, b, seed)
}

/// Mooring posts on the left, going into the distance.
fn posts(x: f32, y: f32, under: f32) -> f32 {
    let mut l = under;
    for i in (0_u32..6).rev() {
        let near = 1.0 / (1.0 + 0.62 * i as f32);
        let foot = HORIZON + 0.42 * near;
        let lean = (hash(i.cast_signed(), 3, 83) - 0.5) * 0.03;
        let centre = VANISH - 0.53 * near - 0.02 + lean * (foot - y) / near.max(0.1);
        let half = 0.019 * near;
        let top = foot - (0.40 + 0.05 * (hash(i.cast_signed(), 7, 83) - 0.5)) * near;
        if (x - centre).abs() > 4.0 * half {
            continue;
        }
        let across = (x - centre) / half;
        let soft = 0.0015 / half;
        let body = (1.0 - smooth(1.0 - soft, 1.0 + soft, across.abs()))
            * smooth(top - 0.002, top + 0.002, y)
            * (1.0 - smooth(foot - 0.003, foot + 0.004, y));
        let fog = mix(0.0, 0.72, smooth(1.0, 0.24, near));
        let grain = cloud(x * 260.0, y * 22.0, 3, 89 + i) - 0.5;
        let side = 0.30 - 0.17 * across + 0.06 * across * across;
        let height = (foot - y) / (foot - top);
        let weed = 1.0 - smooth(0.34, 0.46, height + 0.10 * (noise(x * 90.0, y * 30.0, 97) - 0.5));
        let mut wood = side + 0.16 * grain;
        wood = mix(wood, 0.07 + 0.10 * (noise(x * 240.0, y * 240.0, 101) - 0.2), 0.8 * weed);
        wood = mix(wood, 0.55, 1.0 - smooth(0.0, 0.02, (y - top).abs() / near));
        l = mix(l, mix(wood, 0.80, fog), body);
        // Its reflection or shadow on the wet ground.
        let below = (y - foot) / (foot - top);
        if below > 0.0 {
            let wave = (noise(y * 160.0, 0.0, 103) - 0.5) * 0.8;
            let mirror = (1.0 - smooth(0.7, 1.3, (across + wave).abs())) * (1.0 - smooth(0.15, 0.55, below));
            l = mix(l, mix(0.18, 0.66, fog), 0.55 * mirror);
        }
    }
    l
}

/// A cast bollard in the foreground.
fn bollard(x: f32, y: f32, under: f32) -> f32 {
    let (cx, foot, top) = (1.10, 0.93, 0.70);
    let mut l = under;
    // Shadow on the ground.
    let shade = ((x - cx - 0.03) / 0.13, (y - foot) / 0.022);
    l = mix(l, 0.06, 0.75 * (1.0 - smooth(0.5, 1.2, (shade.0 * shade.0 + shade.1 * shade.1).sqrt())));
    let height = (y - top) / (foot - top);
    if !(-0.2..1.2).contains(&height) {
        return l;
    }
    // Half width: a cap, a waist, a spreading foot.
    let cap = if height < 0.30 {
        let t = (height - 0.13) / 0.17;
        0.074 * (1.0 - t * t).max(0.0).sqrt()
    } else {
        0.0
    };
    let stem = if height > 0.13 {
        0.040
            + 0.006 * smooth(0.30, 0.13, height)
            + 0.040 * smooth(0.72, 1.0, height) * smooth(0.72, 1.0, height)
    } else {
        0.0
    };
    let half = cap.max(stem);
    let foot_curve = 0.012 * ((x - cx) / 0.08) * ((x - cx) / 0.08);
    if half <= 0.0 || y > foot + 0.012 - foot_curve {
        return l;
    }
    let across = (x - cx) / half;
    let body = 1.0 - smooth(1.0 - 0.0016 / half, 1.0 + 0.0016 / half, across.abs());
    let rust = cloud(x * 120.0, y * 120.0, 4, 107) - 0.5;
    let light = 1.0 - smooth(0.0, 0.55, (across + 0.45).abs());
    let rim = smooth(0.62, 0.98, across) * 0.10;
    let mut iron = 0.055 + 0.26 * light + rim + 0.10 * rust * (0.4 + light);
    if cap > stem {
        // The cap is a flattened ball, lit from the upper left.
        let (nx, ny) = ((x - cx) / 0.074, (height - 0.13) / 0.17);
        let nz = (1.0 - nx * nx - ny * ny).max(0.0).sqrt();
        let facing = (0.62 * nz - 0.52 * nx - 0.58 * ny).max(0.0);
        iron = 0.045 + 0.34 * facing + 0.50 * smooth(0.80, 1.0, facing) + rim * 0.6 + 0.07 * rust;
        iron *= 1.0 - 0.5 * smooth(0.5, 1.0, ny);
    }
    mix(l, iron.clamp(0.02, 0.95), body)
}

/// A chain from the bollard over the setts: rings seen flat and on edge, in turn.
fn chain(x: f32, y: f32, under: f32) -> f32 {
    if y < 0.74 || x < 0.2 {
        return under;
    }
    let mut l = under;
    // The curve: from behind the bollard's waist, hanging, then along the ground.
    let place = |t: f32| {
        let p = [(1.08, 0.80), (0.98, 0.985), (0.80, 0.90), (0.36, 1.01)];
        let s = 1.0 - t;
        let w = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
        (0..4).fold((0.0, 0.0), |(a, b), i| (a + w[i] * p[i].0, b + w[i] * p[i].1))
    };
    const LINKS: u32 = 26;
    for i in 0..LINKS {
        let t = (i as f32 + 0.5) / LINKS as f32;
        let (cx, cy) = place(t);
        let (dx, dy) = (x - cx, y - cy);
        if dx * dx + dy * dy > 0.003 {
            continue;
        }
        let (ax, ay) = place(t - 0.01);
        let (bx, by) = place(t + 0.01);
        let length = ((bx - ax) * (bx - ax) + (by - ay) * (by - ay)).sqrt();
        let (tx, ty) = ((bx - ax) / length, (by - ay) / length);
        let (along, across) = (dx * tx + dy * ty, -dx * ty + dy * tx);
        let flat = i % 2 == 0;
        let (long, wide, wire) = (0.023, if flat { 0.0115 } else { 0.0015 }, 0.0048);
        // Distance to a stadium's outline.
        let over = (along.abs() - (long - wide)).max(0.0);
        let outline = ((over * over + across * across).sqrt() - wide).abs();
        let shadow = {
            let (along, across) = (along - 0.004 * tx, across - 0.008);
            let over = (along.abs() - (long - wide)).max(0.0);
            ((over * over + across * across).sqrt() - wide).abs()
        };
        l = mix(l, 0.07, 0.55 * (1.0 - smooth(wire * 0.6, wire * 1.8, shadow)));
        let body = 1.0 - smooth(wire - 0.0012, wire + 0.0008, outline);
        let round = 1.0 - (outline / wire).min(1.0);
        let facing = 0.5 - 0.5 * (across / (wide + wire)).clamp(-1.0, 1.0);
        let iron = 0.08 + 0.42 * round * round * facing + 0.08 * (noise(x * 300.0, y * 300.0, 113) - 0.5);
        l = mix(l, iron, body);
    }
    l
}

#[cfg(test)]
#[allow(clippy::cast_possible_truncation, reason = "test data are small")]
mod tests {
    use super::*;

    fn all(width: u32, height: u32) -> Vec<f32> {
        let mut picture = DemoPicture::new(width, height);
        let mut row = vec![0.0; width as usize];
        let mut out = Vec::new();
        for _ in 0..height {
            picture.next_row(&mut row).unwrap();
            out.extend_from_slice(&row);
        }
        assert!(picture.next_row(&mut row).is_err());
        out
    }

    #[test]
    fn uses_the_whole_scale() {
        let mut l: Vec<f32> = all(400, 300).into_iter().map(crate::tone::lightness).collect();
        assert!(l.iter().all(|v| (0.0..=1.0).contains(v)));
        l.sort_by(f32::total_cmp);
        let at = |part: f32| l[(part * (l.len() - 1) as f32) as usize];
        assert!(
            at(0.002) < 0.10 && at(0.1) < 0.35 && at(0.5) > 0.4 && at(0.5) < 0.8 && at(0.995) > 0.90,
            "{:?}",
            [at(0.002), at(0.1), at(0.5), at(0.995)]
        );
    }

    #[test]
    fn is_the_same_every_time_and_at_every_size() {
        assert_eq!(all(64, 48), all(64, 48));
        let (small, large) = (all(80, 60), all(240, 180));
        let mut worst = 0.0_f64;
        let mut sum = 0.0;
        for y in 0..60 {
            for x in 0..80 {
                let mut mean = 0.0;
                for j in 0..3 {
                    for i in 0..3 {
                        mean += f64::from(large[(3 * y + j) * 240 + 3 * x + i]) / 9.0;
                    }
                }
                let d = (mean - f64::from(small[y * 80 + x])).abs();
                worst = worst.max(d);
                sum += d / 4800.0;
            }
        }
        // Details differ, the picture does not.
        assert!(sum < 0.05 && worst < 0.7, "{sum} {worst}");
    }
}
