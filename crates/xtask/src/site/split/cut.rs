//! Cuts a finished module in two that share one memory and one function table.
//!
//! The front module keeps all exports. Its calls into the rest go through new places of the function table, which the
//! rest fills when it is made; so do the places through which the rest's functions are named in data. The rest imports
//! from the front whatever it uses: memory, tables, globals, functions, also those of the browser.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use walrus::ir::{
    Call, CallIndirect, Const, Instr, InstrSeq, Value, Visitor, VisitorMut, dfs_in_order, dfs_pre_order_mut,
};
use walrus::{
    ConstExpr, DataKind, ElementItems, ElementKind, ExportItem, FunctionId, FunctionKind, GlobalKind,
    ImportKind, ImportedFunction, Module, ModuleConfig, TableId, TypeId,
};

use super::reach::Later;
use crate::Result;

/// The module name under which the rest imports from the front.
const FRONT: &str = "front";

/// A module in two parts.
pub(crate) struct Halves {
    /// Runs alone, as long as no gate is called.
    pub front: Vec<u8>,
    /// To be made with `{ front: exports of the front }`.
    pub rest: Vec<u8>,
}

/// Cuts what is `later` off a module that still has its names.
///
/// # Errors
/// When the module has no function table, or an export of it would be cut off.
pub(super) fn cut(whole: &[u8], later: &Later) -> Result<Halves> {
    let (mut front, mut rest) = (parsed(whole)?, parsed(whole)?);
    let off: BTreeSet<usize> = numbered(&front)
        .filter(|(_, id)| matches!(front.funcs.get(*id).kind, FunctionKind::Local(_)))
        .filter(|(_, id)| front.funcs.get(*id).name.as_ref().is_some_and(|n| later.functions.contains(n)))
        .map(|(number, _)| number)
        .collect();
    for export in front.exports.iter() {
        if let ExportItem::Function(id) = export.item
            && off.contains(&id.index())
        {
            return Err(format!("the export {} would not be in the front module", export.name).into());
        }
    }
    let table = front.tables.main_function_table()?.ok_or("the module has no function table")?;
    let places = pass_gates(&mut front, table, &off);
    let named = named_places(&front, table);
    keep_elements(&mut front, table, &named, |id| !off.contains(&id.index()), &BTreeMap::new());
    keep_data(&mut front, &later.data, false);

    let size = (front.tables.get(table).initial, front.tables.get(table).maximum);
    let table = rest.tables.main_function_table()?.ok_or("the module has no function table")?;
    (rest.tables.get_mut(table).initial, rest.tables.get_mut(table).maximum) = size;
    let named = named_places(&rest, table);
    let gates = numbered(&rest).filter_map(|(number, id)| Some((*places.get(&number)?, id))).collect();
    keep_elements(&mut rest, table, &named, |id| off.contains(&id.index()), &gates);
    keep_data(&mut rest, &later.data, true);
    import_all(&mut rest, &off);
    walrus::passes::gc::run(&mut rest);

    export_for(&mut front, &rest);
    walrus::passes::gc::run(&mut front);
    Ok(Halves { front: front.emit_wasm(), rest: rest.emit_wasm() })
}

/// Both halves begin as the same module; what has the same number in them is the same.
fn parsed(whole: &[u8]) -> Result<Module> {
    let mut config = ModuleConfig::new();
    config.generate_name_section(false).generate_producers_section(false);
    let mut module = config.parse(whole)?;
    // Lists for linkers and debuggers hold for the whole module only.
    let lists: Vec<_> = module.customs.iter().map(|(id, _)| id).collect();
    for list in lists {
        module.customs.delete(list);
    }
    Ok(module)
}

fn numbered(module: &Module) -> impl Iterator<Item = (usize, FunctionId)> {
    module.funcs.iter().map(|function| (function.id().index(), function.id()))
}

// ---- The front's calls ---------------------------------------------------------------------------------------------

/// Turns direct calls of what is cut off into calls through the table. Gives the place of each such function.
fn pass_gates(front: &mut Module, table: TableId, off: &BTreeSet<usize>) -> BTreeMap<usize, u32> {
    let mut called = Called { off, found: BTreeSet::new() };
    let locals: Vec<_> =
        front.funcs.iter_local().map(|(id, _)| id).filter(|id| !off.contains(&id.index())).collect();
    for id in &locals {
        let function = front.funcs.get(*id).kind.unwrap_local();
        dfs_in_order(&mut called, function, function.entry_block());
    }
    let first = front.tables.get(table).initial;
    let places: BTreeMap<usize, u32> =
        called.found.iter().copied().zip(u32::try_from(first).unwrap_or(0)..).collect();
    let types: BTreeMap<usize, TypeId> =
        numbered(front).map(|(number, id)| (number, front.funcs.get(id).ty())).collect();
    let mut detour = Detour { table, places: &places, types: &types };
    for id in locals {
        if let FunctionKind::Local(function) = &mut front.funcs.get_mut(id).kind {
            let entry = function.entry_block();
            dfs_pre_order_mut(&mut detour, function, entry);
        }
    }
    let table = front.tables.get_mut(table);
    table.initial += places.len() as u64;
    table.maximum = table.maximum.map(|maximum| maximum.max(table.initial));
    places
}

struct Called<'a> {
    off: &'a BTreeSet<usize>,
    found: BTreeSet<usize>,
}

impl<'a> Visitor<'a> for Called<'_> {
    fn visit_call(&mut self, call: &Call) {
        if self.off.contains(&call.func.index()) {
            self.found.insert(call.func.index());
        }
    }
}

struct Detour<'a> {
    table: TableId,
    places: &'a BTreeMap<usize, u32>,
    types: &'a BTreeMap<usize, TypeId>,
}

impl VisitorMut for Detour<'_> {
    fn start_instr_seq_mut(&mut self, sequence: &mut InstrSeq) {
        let direct = |instr: &Instr| match instr {
            Instr::Call(call) => self.places.get(&call.func.index()).zip(self.types.get(&call.func.index())),
            _ => None,
        };
        if !sequence.instrs.iter().any(|(instr, _)| direct(instr).is_some()) {
            return;
        }
        let mut instrs = Vec::with_capacity(sequence.instrs.len() + 1);
        for (instr, at) in sequence.instrs.drain(..) {
            if let Some((place, ty)) = direct(&instr) {
                instrs.push((Const { value: Value::I32(place.cast_signed()) }.into(), at));
                instrs.push((CallIndirect { ty: *ty, table: self.table }.into(), at));
            } else {
                instrs.push((instr, at));
            }
        }
        sequence.instrs = instrs;
    }
}

// ---- Table and data ------------------------------------------------------------------------------------------------

/// What stands in the function table from the beginning.
fn named_places(module: &Module, table: TableId) -> BTreeMap<u32, FunctionId> {
    let mut named = BTreeMap::new();
    for element in module.elements.iter() {
        if let ElementKind::Active { table: of, offset: ConstExpr::Value(Value::I32(start)) } = &element.kind
            && *of == table
            && let ElementItems::Functions(functions) = &element.items
        {
            named.extend((start.cast_unsigned()..).zip(functions.iter().copied()));
        }
    }
    named
}

/// Fills the table with some of what stood there, and more.
fn keep_elements(
    module: &mut Module,
    table: TableId,
    named: &BTreeMap<u32, FunctionId>,
    stays: impl Fn(FunctionId) -> bool,
    more: &BTreeMap<u32, FunctionId>,
) {
    let old: Vec<_> = module
        .elements
        .iter()
        .filter(|e| matches!(&e.kind, ElementKind::Active { table: of, .. } if *of == table))
        .map(walrus::Element::id)
        .collect();
    for id in old {
        module.elements.delete(id);
        module.tables.get_mut(table).elem_segments.remove(&id);
    }
    let mut runs: Vec<(u32, Vec<FunctionId>)> = Vec::new();
    for (place, id) in named.iter().filter(|(_, id)| stays(**id)).chain(more) {
        match runs.last_mut() {
            Some((start, run)) if *start as usize + run.len() == *place as usize => run.push(*id),
            _ => runs.push((*place, vec![*id])),
        }
    }
    for (start, run) in runs {
        let offset = ConstExpr::Value(Value::I32(start.cast_signed()));
        let id = module.elements.add(ElementKind::Active { table, offset }, ElementItems::Functions(run));
        module.tables.get_mut(table).elem_segments.insert(id);
    }
}

/// Keeps only the data of the given addresses, or only the rest of it.
fn keep_data(module: &mut Module, ranges: &[Range<u32>], inside: bool) {
    let segments: Vec<_> = module.data.iter().map(walrus::Data::id).collect();
    for id in segments {
        let data = module.data.get_mut(id);
        let DataKind::Active { memory, offset: ConstExpr::Value(Value::I32(start)) } = data.kind else {
            continue;
        };
        let start = start.cast_unsigned();
        let end = start + u32::try_from(data.value.len()).unwrap_or(0);
        let of = |range: &Range<u32>| (range.start - start) as usize..(range.end - start) as usize;
        let within = ranges.iter().filter(|range| range.start >= start && range.end <= end);
        if !inside {
            // Zeros cost next to nothing once packed, and the addresses stay.
            within.for_each(|range| data.value[of(range)].fill(0));
            continue;
        }
        let mut pieces: Vec<Range<u32>> = Vec::new();
        for range in within {
            match pieces.last_mut() {
                Some(last) if range.start == last.end => last.end = range.end,
                _ => pieces.push(range.clone()),
            }
        }
        let pieces: Vec<_> =
            pieces.into_iter().map(|piece| (piece.start, data.value[of(&piece)].to_vec())).collect();
        module.data.delete(id);
        module.memories.get_mut(memory).data_segments.remove(&id);
        for (address, value) in pieces {
            let offset = ConstExpr::Value(Value::I32(address.cast_signed()));
            let id = module.data.add(DataKind::Active { memory, offset }, value);
            module.memories.get_mut(memory).data_segments.insert(id);
        }
    }
}

// ---- What the rest takes from the front ----------------------------------------------------------------------------

/// Makes everything that is not its own an import of the rest.
fn import_all(rest: &mut Module, off: &BTreeSet<usize>) {
    rest.start = None;
    let exports: Vec<_> = rest.exports.iter().map(walrus::Export::id).collect();
    for export in exports {
        rest.exports.delete(export);
    }
    for import in rest.imports.iter_mut() {
        let number = match import.kind {
            ImportKind::Function(id) => name('f', id.index()),
            ImportKind::Table(id) => name('t', id.index()),
            ImportKind::Memory(id) => name('m', id.index()),
            ImportKind::Global(id) => name('g', id.index()),
            ImportKind::Tag(id) => name('e', id.index()),
        };
        (import.module, import.name) = (FRONT.to_owned(), number);
    }
    let functions: Vec<_> = rest.funcs.iter_local().map(|(id, _)| id).collect();
    for id in functions.into_iter().filter(|id| !off.contains(&id.index())) {
        let import = rest.imports.add(FRONT, &name('f', id.index()), id);
        let function = rest.funcs.get_mut(id);
        let ty = function.ty();
        function.kind = FunctionKind::Import(ImportedFunction { import, ty });
    }
    let tables: Vec<_> = rest.tables.iter().filter(|t| t.import.is_none()).map(walrus::Table::id).collect();
    for id in tables {
        rest.tables.get_mut(id).import = Some(rest.imports.add(FRONT, &name('t', id.index()), id));
    }
    let memories: Vec<_> =
        rest.memories.iter().filter(|m| m.import.is_none()).map(walrus::Memory::id).collect();
    for id in memories {
        rest.memories.get_mut(id).import = Some(rest.imports.add(FRONT, &name('m', id.index()), id));
    }
    let globals: Vec<_> = rest.globals.iter().map(walrus::Global::id).collect();
    for id in globals {
        if matches!(rest.globals.get(id).kind, GlobalKind::Local(_)) {
            let import = rest.imports.add(FRONT, &name('g', id.index()), id);
            rest.globals.get_mut(id).kind = GlobalKind::Import(import);
        }
    }
}

/// Lets the front offer whatever the rest imports.
fn export_for(front: &mut Module, rest: &Module) {
    let wanted: BTreeSet<&str> = rest.imports.iter().map(|import| import.name.as_str()).collect();
    let items: Vec<(String, ExportItem)> = front
        .funcs
        .iter()
        .map(|f| (name('f', f.id().index()), f.id().into()))
        .chain(front.tables.iter().map(|t| (name('t', t.id().index()), t.id().into())))
        .chain(front.memories.iter().map(|m| (name('m', m.id().index()), m.id().into())))
        .chain(front.globals.iter().map(|g| (name('g', g.id().index()), g.id().into())))
        .filter(|(name, _)| wanted.contains(name.as_str()))
        .collect();
    for (name, item) in items {
        front.exports.add(&name, item);
    }
}

/// A short name that no export of the page has.
fn name(kind: char, number: usize) -> String {
    format!("{kind}{number}")
}

#[cfg(test)]
mod tests {
    use walrus::{FunctionBuilder, RefType, ValType};

    use super::*;

    /// `shown` is exported and calls `gate`; `gate` calls `helper`, which `shown` calls too; `named` stands in the
    /// table only. Eight bytes of data, of which the last four belong to what is cut off.
    fn whole() -> Vec<u8> {
        let mut module = Module::default();
        let memory = module.memories.add_local(false, false, 1, None, None);
        let at = DataKind::Active { memory, offset: ConstExpr::Value(Value::I32(1024)) };
        let data = module.data.add(at, b"earllate".to_vec());
        module.memories.get_mut(memory).data_segments.insert(data);
        let mut function = |name: &str, calls: &[FunctionId]| {
            let mut builder = FunctionBuilder::new(&mut module.types, &[ValType::I32], &[ValType::I32]);
            builder.name(name.to_owned());
            let given = module.locals.add(ValType::I32);
            let mut body = builder.func_body();
            body.local_get(given);
            for id in calls {
                body.call(*id);
            }
            builder.finish(vec![given], &mut module.funcs)
        };
        let helper = function("helper", &[]);
        let gate = function("gate", &[helper]);
        let shown = function("shown", &[gate, helper]);
        let named = function("named", &[]);
        module.exports.add("shown", shown);
        let table = module.tables.add_local(false, 3, Some(3), RefType::FUNCREF);
        let offset = ConstExpr::Value(Value::I32(1));
        let element = module
            .elements
            .add(ElementKind::Active { table, offset }, ElementItems::Functions(vec![helper, named]));
        module.tables.get_mut(table).elem_segments.insert(element);
        module.emit_wasm()
    }

    fn later(functions: &[&str]) -> Later {
        let functions = functions.iter().map(|name| (*name).to_owned()).collect();
        Later { functions, data: std::iter::once(1028..1032).collect() }
    }

    /// What the table holds from the beginning: place and number of functions.
    fn filled(module: &Module) -> Vec<(i32, usize)> {
        module
            .elements
            .iter()
            .filter_map(|element| match (&element.kind, &element.items) {
                (
                    ElementKind::Active { offset: ConstExpr::Value(Value::I32(at)), .. },
                    ElementItems::Functions(functions),
                ) => Some((*at, functions.len())),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn both_halves_hold_their_own_and_fit_each_other() {
        let halves = cut(&whole(), &later(&["gate", "named"])).unwrap();
        let (front, rest) =
            (Module::from_buffer(&halves.front).unwrap(), Module::from_buffer(&halves.rest).unwrap());

        assert_eq!(front.funcs.iter_local().count(), 2, "shown and helper");
        assert_eq!(rest.funcs.iter_local().count(), 2, "gate and named");
        let offered: BTreeSet<_> = front.exports.iter().map(|export| export.name.as_str()).collect();
        assert!(
            rest.imports
                .iter()
                .all(|import| import.module == FRONT && offered.contains(import.name.as_str()))
        );

        let table =
            |module: &Module| module.tables.iter().map(|t| (t.initial, t.maximum)).collect::<Vec<_>>();
        assert_eq!((table(&front), table(&rest)), (vec![(4, Some(4))], vec![(4, Some(4))]), "one place more");
        assert_eq!(filled(&front), [(1, 1)], "helper");
        assert_eq!(filled(&rest), [(2, 2)], "named, and behind it the gate");

        let data = |module: &Module| module.data.iter().map(|d| d.value.clone()).collect::<Vec<_>>();
        assert_eq!(data(&front), [b"earl\0\0\0\0".to_vec()]);
        assert_eq!(data(&rest), [b"late".to_vec()]);
    }

    #[test]
    fn an_export_is_not_cut_off() {
        assert!(cut(&whole(), &later(&["shown"])).is_err());
    }
}
