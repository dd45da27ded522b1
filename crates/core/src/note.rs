//! What core has to say about an entry or a result.

/// How much a note matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Good to know.
    Hint,
    /// The result stands, but look here.
    Warning,
    /// What depends on this field is withheld.
    Error,
    /// Someone could be hurt.
    Danger,
}

/// One remark: about which field, what is the matter, and what to do.
///
/// `field` is the name of the field in the station's `Ask` (dotted, rows by index: `parts.2.price`), or empty
/// for the station as a whole. `text` says what is the matter, `mend` what to do; both are whole sentences.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// Name of the field in the station's `Ask`; empty for the whole.
    pub field: String,
    /// How much it matters.
    pub severity: Severity,
    /// What is the matter.
    pub text: String,
    /// What to do; may be empty for a hint.
    pub mend: String,
}

impl Note {
    /// Something good to know.
    #[must_use]
    pub fn hint(field: impl Into<String>, text: impl Into<String>) -> Self {
        Self { field: field.into(), severity: Severity::Hint, text: text.into(), mend: String::new() }
    }

    /// The result stands, but look here.
    #[must_use]
    pub fn warning(field: impl Into<String>, text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { field: field.into(), severity: Severity::Warning, text: text.into(), mend: mend.into() }
    }

    /// What depends on this field is withheld.
    #[must_use]
    pub fn error(field: impl Into<String>, text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { field: field.into(), severity: Severity::Error, text: text.into(), mend: mend.into() }
    }

    /// Someone could be hurt.
    #[must_use]
    pub fn danger(field: impl Into<String>, text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { field: field.into(), severity: Severity::Danger, text: text.into(), mend: mend.into() }
    }
}
