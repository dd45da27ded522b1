//! The wall clock of the device: milliseconds since 1970 and the room's time zone.

/// Milliseconds since 1970, UTC.
pub(crate) fn now() -> i64 {
    #[cfg(feature = "test-clock")]
    if let Some(set) = test::now() {
        return set;
    }
    real()
}

#[expect(clippy::cast_possible_truncation, reason = "milliseconds since 1970 are whole and far below 2^53")]
fn real() -> i64 {
    js_sys::Date::now() as i64
}

/// Minutes to add to UTC for the wall clock of the room.
#[expect(clippy::cast_possible_truncation, reason = "whole minutes, at most a day")]
pub(crate) fn zone_minutes() -> i32 {
    let at = js_sys::Date::new_0();
    #[expect(clippy::cast_precision_loss, reason = "milliseconds since 1970 are far below 2^53")]
    at.set_time(now() as f64);
    -(at.get_timezone_offset() as i32)
}

/// `window.sorrelClock`: page tests set the time and let it pass. Only in a site built for tests.
#[cfg(feature = "test-clock")]
pub(crate) mod test {
    use std::cell::Cell;
    use std::rc::Rc;

    use js_sys::{Object, Reflect};
    use wasm_bindgen::prelude::*;

    thread_local! {
        static NOW: Cell<Option<i64>> = const { Cell::new(None) };
    }

    pub(super) fn now() -> Option<i64> {
        NOW.get()
    }

    #[expect(clippy::cast_possible_truncation, reason = "tests give whole milliseconds")]
    fn set(ms: f64) {
        NOW.set(Some(ms as i64));
    }

    /// Puts `sorrelClock.set(ms)`, `.advance(ms)` and `.real()` on the window; the first two call `moved`.
    pub(crate) fn install(moved: impl Fn() + 'static) {
        let moved = Rc::new(moved);
        let told = moved.clone();
        let clock = Object::new();
        let put = |name: &str, f: JsValue| {
            let _ = Reflect::set(&clock, &JsValue::from_str(name), &f);
        };
        let at = move |ms| {
            set(ms);
            moved();
        };
        put("set", Closure::<dyn Fn(f64)>::new(at).into_js_value());
        #[expect(clippy::cast_precision_loss, reason = "milliseconds since 1970 are far below 2^53")]
        let by = move |ms| {
            set(super::now() as f64 + ms);
            told();
        };
        put("advance", Closure::<dyn Fn(f64)>::new(by).into_js_value());
        put("real", Closure::<dyn Fn()>::new(|| NOW.set(None)).into_js_value());
        let _ = Reflect::set(&crate::dom::window(), &JsValue::from_str("sorrelClock"), &clock);
    }
}
