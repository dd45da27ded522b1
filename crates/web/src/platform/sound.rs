//! Signals: two tones a lane, so that each is known by ear, and a shake where the device can.

use std::cell::RefCell;

use js_sys::{Array, Reflect};
use wasm_bindgen::prelude::*;
use web_sys::{AudioContext, OscillatorType};

thread_local! {
    static CONTEXT: RefCell<Option<AudioContext>> = const { RefCell::new(None) };
}

/// First and second tone of a lane in hertz: intervals that are told apart without an ear for pitch.
const PATTERNS: [(f32, f32); 4] = [(880.0, 1320.0), (1320.0, 880.0), (660.0, 660.0), (990.0, 742.0)];
/// Seconds of one tone and of the gap behind it.
const TONE: (f64, f64) = (0.18, 0.06);

/// Makes or wakes the one audio context. Must be called inside a tap: browsers refuse it anywhere else.
pub(crate) fn unlock() {
    CONTEXT.with_borrow_mut(|context| {
        if context.is_none() {
            *context = AudioContext::new().ok();
        }
        if let Some(context) = context {
            let _ = context.resume();
        }
    });
}

/// Sounds the signal of a lane so many times.
pub(crate) fn signal(lane: usize, times: u32) {
    let (first, second) = PATTERNS[lane % PATTERNS.len()];
    CONTEXT.with_borrow(|context| {
        let Some(context) = context else { return };
        let _ = context.resume();
        let mut at = context.current_time() + 0.02;
        for _ in 0..times {
            for pitch in [first, second] {
                // A missing tone is no reason to stop the page: the eyes have the signal too.
                let _ = tone(context, pitch, at);
                at += TONE.0 + TONE.1;
            }
            at += 0.3;
        }
    });
    shake(times);
}

fn tone(context: &AudioContext, pitch: f32, at: f64) -> Result<(), JsValue> {
    let oscillator = context.create_oscillator()?;
    let gain = context.create_gain()?;
    oscillator.set_type(OscillatorType::Triangle);
    oscillator.frequency().set_value(pitch);
    // Without ramps the ends click.
    let loudness = gain.gain();
    loudness.set_value_at_time(0.0, at)?;
    loudness.linear_ramp_to_value_at_time(0.4, at + 0.01)?;
    loudness.set_value_at_time(0.4, at + TONE.0 - 0.02)?;
    loudness.linear_ramp_to_value_at_time(0.0, at + TONE.0)?;
    oscillator.connect_with_audio_node(&gain)?;
    gain.connect_with_audio_node(&context.destination())?;
    oscillator.start_with_when(at)?;
    oscillator.stop_with_when(at + TONE.0)
}

fn shake(times: u32) {
    let navigator = crate::dom::window().navigator();
    if Reflect::has(&navigator, &JsValue::from_str("vibrate")).unwrap_or(false) {
        let pattern: Array =
            (0..times * 2).map(|i| JsValue::from(if i % 2 == 0 { 200 } else { 150 })).collect();
        let _ = navigator.vibrate_with_pattern(&pattern);
    }
}
