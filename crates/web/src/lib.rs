//! The page: the only crate beside the worker that knows a browser.
