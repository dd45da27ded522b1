//! Pixels: decode, grey, resample, tone, film, encode. Knows no browser.
