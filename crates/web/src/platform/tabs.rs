//! Telling the other tabs what was written, and hearing it from them.

use js_sys::Array;
use wasm_bindgen::prelude::*;
use web_sys::{BroadcastChannel, MessageEvent};

/// The channel of the book.
pub(crate) struct Tabs(Option<BroadcastChannel>);

impl Tabs {
    /// Opens the channel; `hear` gets the keys another tab has written.
    pub(crate) fn open(hear: impl Fn(Vec<String>) + 'static) -> Self {
        let channel = BroadcastChannel::new("sorrel-book").ok();
        if let Some(channel) = &channel {
            crate::dom::listen(channel, "message", move |event| {
                let Ok(event) = event.dyn_into::<MessageEvent>() else { return };
                let Ok(keys) = event.data().dyn_into::<Array>() else { return };
                hear(keys.iter().filter_map(|k| k.as_string()).collect());
            });
        }
        Self(channel)
    }

    /// Tells the others.
    pub(crate) fn tell(&self, keys: &[String]) {
        if let Some(channel) = &self.0 {
            let list: Array = keys.iter().map(|k| JsValue::from_str(k)).collect();
            // Fails only when the channel was closed; the other tabs then see it at their next start.
            let _ = channel.post_message(&list);
        }
    }
}
