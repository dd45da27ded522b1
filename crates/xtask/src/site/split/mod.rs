//! The page's module in two parts: what a first look needs, and the rest, which is fetched when it is first wanted.
//!
//! The two are one program: one memory, one table of functions, no second copy of anything. Only the time at which
//! code and data arrive differs. [`GATES`] are the functions through which the page enters the rest; everything that
//! is reached through them alone goes with them. That the rest has come before a gate is entered is seen to by
//! `App::handle` of `crates/web`, which lets everything wait that needs it.

mod cut;
mod reach;

use std::collections::BTreeSet;

use walrus::ir::{Visitor, dfs_in_order};
use walrus::{ExportItem, FunctionId, Module};

use crate::Result;
use reach::Linked;

pub(crate) use cut::Halves;

/// Where the page keeps its stations.
const ROOMS: &str = "sorrel_web::stations";

/// The one station that a first look shows; all others come with the rest.
const FIRST: &str = "negative::page::Negative";
/// What of a station is entered from outside, but its name and what it does beside filling.
const DOORS: [&str; 5] = ["typed", "typed_early", "show", "ticket", "act"];

/// The other functions through which the rest is entered.
const GATES: &[&str] = &[
    "<sorrel_web::app::App>::handle_all",
    "<sorrel_web::app::App>::finish_press",
    "<sorrel_web::app::App>::draw",
    "sorrel_web::app::lanes::timing",
    "sorrel_web::store::idb::stored",
    "sorrel_web::store::witness::write",
    "sorrel_web::store::witness::parsed",
    "sorrel_core::tone::solve::by_readings",
    "sorrel_core::tone::solve::by_tablet",
    "sorrel_core::tone::solve::pairs",
    "sorrel_core::light::learnt::learn",
    "sorrel_core::link::decode::decode",
    "sorrel_core::negative::expected::rows",
    "sorrel_core::negative::show::evened",
    "sorrel_core::negative::show::evened_by",
    "sorrel_core::negative::show::outdated",
    "<sorrel_web::app::App>::count",
    "sorrel_core::tree::path::written",
];

/// Divides a module.
///
/// * `linked`: as the linker left it, with relocations and names;
/// * `whole`: the same after the glue was made, with the same names.
///
/// # Errors
/// When a gate is not there, or the two do not fit.
pub(crate) fn split(linked: &[u8], whole: &[u8]) -> Result<Halves> {
    let linked = Linked::read(linked)?;
    let module = Module::from_buffer(whole)?;
    let roots = roots(&module, &linked.names().collect());
    let gates = gates(&linked)?;
    cut::cut(whole, &linked.later(&roots, &gates))
}

/// The gates, by their names in the module.
fn gates(linked: &Linked) -> Result<BTreeSet<&str>> {
    let mut lost: BTreeSet<&str> = GATES.iter().copied().collect();
    let mut doors = 0;
    let mut gates = BTreeSet::new();
    for name in linked.names() {
        let path = format!("{:#}", rustc_demangle::demangle(name));
        let door = is_door(&path);
        doors += usize::from(door);
        if lost.remove(path.as_str()) || door {
            gates.insert(name);
        }
    }
    if doors == 0 {
        lost.insert("the doors of the stations");
    }
    if !lost.is_empty() {
        let lost: Vec<_> = lost.into_iter().collect();
        return Err(format!(
            "the page's module has no such gates (renamed or inlined?): {}",
            lost.join(", ")
        )
        .into());
    }
    Ok(gates)
}

/// Whether a function is the door of a station that comes with the rest. The first station's buttons come with it too:
/// whoever presses one has touched the page.
fn is_door(path: &str) -> bool {
    let of = path.strip_prefix(&format!("<{ROOMS}::Of<sorrel_core::"));
    let Some((station, door)) = of.and_then(|of| of.split_once(&format!("> as {ROOMS}::Room>::"))) else {
        return false;
    };
    DOORS.contains(&door) && (station != FIRST || door == "act")
}

/// What must be in the front: what the glue calls, and what is called by functions that came with the glue.
fn roots<'a>(whole: &'a Module, linked: &BTreeSet<&str>) -> BTreeSet<&'a str> {
    let name = |id: FunctionId| whole.funcs.get(id).name.as_deref();
    let mut roots = Named { whole, roots: BTreeSet::new() };
    for export in whole.exports.iter() {
        if let ExportItem::Function(id) = export.item {
            roots.roots.extend(name(id));
        }
    }
    roots.roots.extend(whole.start.and_then(name));
    for (id, function) in whole.funcs.iter_local() {
        if name(id).is_none_or(|name| !linked.contains(name)) {
            dfs_in_order(&mut roots, function, function.entry_block());
        }
    }
    roots.roots
}

struct Named<'a> {
    whole: &'a Module,
    roots: BTreeSet<&'a str>,
}

impl<'a> Visitor<'a> for Named<'a> {
    fn visit_function_id(&mut self, id: &FunctionId) {
        self.roots.extend(self.whole.funcs.get(*id).name.as_deref());
    }
}

#[cfg(test)]
mod tests {
    use super::is_door;

    #[test]
    fn every_station_but_the_first_has_doors() {
        let room = |station: &str, door: &str| {
            let rooms = "sorrel_web::stations";
            is_door(&format!("<{rooms}::Of<sorrel_core::{station}> as {rooms}::Room>::{door}"))
        };
        assert!(room("tone::page::Tone", "show") && room("stores::page::Stores", "typed_early"));
        assert!(room("negative::page::Negative", "act") && !room("negative::page::Negative", "show"));
        assert!(!room("tone::page::Tone", "id"), "the front asks for names");
        assert!(!is_door("sorrel_core::tone::solve::solve"));
    }
}
