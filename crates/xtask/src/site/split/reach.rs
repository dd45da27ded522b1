//! What of a linked module is reached without passing a gate, by function and by piece of data.
//!
//! The linker, asked for `--emit-relocs`, leaves a list of every place where code or data names a function or an
//! address (WebAssembly tool conventions, "Linking", relocation sections). That is an exact graph; nothing is guessed
//! from the look of a number.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use wasmparser::{
    DataKind, KnownCustom, Name, Operator, Parser, Payload, RelocationEntry, RelocationType, SymbolInfo,
};

use crate::Result;

/// What may be loaded later.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Later {
    /// Functions, by their names in the linked module.
    pub functions: BTreeSet<String>,
    /// Data, by address.
    pub data: Vec<Range<u32>>,
}

/// A thing that names others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Node {
    /// A function, by its index.
    Function(u32),
    /// A piece of data, by its place in [`Linked::pieces`].
    Data(usize),
}

/// A module as the linker left it.
#[derive(Default)]
pub(super) struct Linked {
    names: BTreeMap<u32, String>,
    /// Bodies in the file, in the order of their indices; the first has the index `imported`.
    bodies: Vec<Range<usize>>,
    imported: u32,
    /// Segments: address of the first byte, and place in the file.
    segments: Vec<(u32, Range<usize>)>,
    /// Addresses of what has a name of its own, in order, without overlap.
    pieces: Vec<Range<u32>>,
    names_of: BTreeMap<Node, BTreeSet<Node>>,
}

impl Linked {
    /// Names of its own functions.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.functions().filter_map(|index| self.names.get(&index)).map(String::as_str)
    }

    /// What is not reached from the roots without entering a gate.
    pub(super) fn later(&self, roots: &BTreeSet<&str>, gates: &BTreeSet<&str>) -> Later {
        // Some functions share a name, such as what the compiler made twice. By its name alone it cannot be told which one
        // is meant, so they go or stay together.
        let mut bearers = BTreeMap::<&str, Vec<u32>>::new();
        for (index, name) in &self.names {
            bearers.entry(name).or_default().push(*index);
        }
        let among = |set: &BTreeSet<&str>, index: u32| {
            self.names.get(&index).is_some_and(|name| set.contains(name.as_str()))
        };
        // A function without a name could not be found again: it stays.
        let mut open: Vec<Node> = self
            .functions()
            .filter(|index| !self.names.contains_key(index) || among(roots, *index))
            .map(Node::Function)
            .collect();
        let mut reached = BTreeSet::new();
        while let Some(node) = open.pop() {
            if reached.insert(node) {
                let next = self.names_of.get(&node).into_iter().flatten().copied();
                open.extend(
                    next.filter(|next| !matches!(next, Node::Function(index) if among(gates, *index))),
                );
                if let Node::Function(index) = node
                    && let Some(name) = self.names.get(&index)
                {
                    let alike = bearers.get(name.as_str()).into_iter().flatten();
                    open.extend(alike.map(|index| Node::Function(*index)));
                }
            }
        }
        Later {
            functions: self
                .functions()
                .filter(|index| !reached.contains(&Node::Function(*index)))
                .filter_map(|index| self.names.get(&index).cloned())
                .collect(),
            data: (0..self.pieces.len())
                .filter(|piece| !reached.contains(&Node::Data(*piece)))
                .map(|piece| self.pieces[piece].clone())
                .collect(),
        }
    }

    /// Reads a module.
    ///
    /// # Errors
    /// When it carries no relocations, or they do not fit its code.
    pub(super) fn read(bytes: &[u8]) -> Result<Self> {
        let mut linked = Self::default();
        let (mut symbols, mut pieces) = (Vec::new(), Vec::new());
        let (mut code, mut data) = (0, 0);
        let mut relocations = Vec::new();
        for payload in Parser::new(0).parse_all(bytes) {
            match payload? {
                Payload::ImportSection(section) => {
                    for import in section.into_imports() {
                        linked.imported += u32::from(matches!(import?.ty, wasmparser::TypeRef::Func(_)));
                    }
                }
                Payload::CodeSectionStart { range, .. } => code = range.start,
                Payload::CodeSectionEntry(body) => linked.bodies.push(body.range()),
                Payload::DataSection(section) => {
                    data = section.range().start;
                    for segment in section {
                        let segment = segment?;
                        let DataKind::Active { offset_expr, .. } = segment.kind else {
                            return Err("a data segment of the linked module is passive".into());
                        };
                        let Operator::I32Const { value } = offset_expr.get_operators_reader().read()? else {
                            return Err("a data segment of the linked module has no fixed address".into());
                        };
                        let end = segment.range.end;
                        linked.segments.push((value.cast_unsigned(), end - segment.data.len()..end));
                    }
                }
                Payload::CustomSection(section) => match section.as_known() {
                    KnownCustom::Name(names) => {
                        for name in names {
                            if let Name::Function(functions) = name? {
                                for function in functions {
                                    let function = function?;
                                    linked.names.insert(function.index, function.name.to_owned());
                                }
                            }
                        }
                    }
                    KnownCustom::Linking(linking) => {
                        for part in linking {
                            if let wasmparser::Linking::SymbolTable(table) = part? {
                                symbols = table.into_iter().collect::<std::result::Result<Vec<_>, _>>()?;
                            }
                        }
                    }
                    KnownCustom::Reloc(section_of) => {
                        let entries =
                            section_of.entries().into_iter().collect::<std::result::Result<Vec<_>, _>>()?;
                        relocations.push((section.name().to_owned(), entries));
                    }
                    _ => {}
                },
                _ => {}
            }
        }
        for symbol in &symbols {
            if let SymbolInfo::Data { symbol: Some(place), .. } = symbol
                && let Some((address, _)) = linked.segments.get(place.index as usize)
                && place.size > 0
            {
                pieces.push(address + place.offset..address + place.offset + place.size);
            }
        }
        linked.pieces = joined(pieces);
        for (name, entries) in relocations {
            let start = match name.as_str() {
                "reloc.CODE" => code,
                "reloc.DATA" => data,
                _ => continue,
            };
            for entry in entries {
                linked.note(bytes, start + entry.offset as usize, &entry, &symbols)?;
            }
        }
        if linked.names_of.is_empty() {
            return Err("the linked module carries no relocations".into());
        }
        Ok(linked)
    }

    /// Notes one place where something is named.
    fn note(
        &mut self,
        bytes: &[u8],
        at: usize,
        entry: &RelocationEntry,
        symbols: &[SymbolInfo<'_>],
    ) -> Result<()> {
        use RelocationType as T;
        let Some(from) = self.at(at) else { return Ok(()) };
        let to = match (entry.ty, symbols.get(entry.index as usize)) {
            (T::FunctionIndexLeb, Some(SymbolInfo::Func { index, .. })) => {
                if leb(bytes, at) != Some(*index) {
                    return Err("a relocation of the linked module does not fit its code".into());
                }
                Some(Node::Function(*index))
            }
            (T::TableIndexSleb | T::TableIndexI32, Some(SymbolInfo::Func { index, .. })) => {
                Some(Node::Function(*index))
            }
            (
                T::MemoryAddrLeb | T::MemoryAddrSleb | T::MemoryAddrI32,
                Some(SymbolInfo::Data { symbol: Some(place), .. }),
            ) => {
                let address = self.segments.get(place.index as usize).map(|(start, _)| start + place.offset);
                address.and_then(|address| self.piece(address))
            }
            _ => None,
        };
        if let Some(to) = to {
            self.names_of.entry(from).or_default().insert(to);
        }
        Ok(())
    }

    /// What lies at a place of the file.
    fn at(&self, place: usize) -> Option<Node> {
        let body = self.bodies.partition_point(|body| body.end <= place);
        if self.bodies.get(body).is_some_and(|body| body.contains(&place)) {
            return Some(Node::Function(self.imported + u32::try_from(body).ok()?));
        }
        let (address, segment) = self.segments.iter().find(|(_, segment)| segment.contains(&place))?;
        self.piece(address + u32::try_from(place - segment.start).ok()?)
    }

    fn piece(&self, address: u32) -> Option<Node> {
        let piece = self.pieces.partition_point(|piece| piece.end <= address);
        self.pieces.get(piece).is_some_and(|piece| piece.contains(&address)).then_some(Node::Data(piece))
    }

    fn functions(&self) -> impl Iterator<Item = u32> {
        (self.imported..).take(self.bodies.len())
    }
}

/// Ranges in order; those that overlap become one.
fn joined(mut ranges: Vec<Range<u32>>) -> Vec<Range<u32>> {
    ranges.sort_by_key(|range| range.start);
    let mut joined: Vec<Range<u32>> = Vec::new();
    for range in ranges {
        match joined.last_mut() {
            Some(last) if range.start < last.end => last.end = last.end.max(range.end),
            _ => joined.push(range),
        }
    }
    joined
}

/// An unsigned LEB128 number of 32 bits.
fn leb(bytes: &[u8], at: usize) -> Option<u32> {
    let mut value = 0;
    for (i, byte) in bytes.get(at..)?.iter().take(5).enumerate() {
        value |= u32::from(byte & 0x7f) << (7 * i);
        if byte & 0x80 == 0 {
            return Some(value);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn overlapping_pieces_are_one() {
        assert_eq!(joined(vec![8..12, 0..4, 2..6, 6..8]), [0..6, 6..8, 8..12]);
    }

    #[test]
    fn functions_of_one_name_go_or_stay_together() {
        // 0 is the root; 1 and 2 share a name, 3 and 4 another; 1 calls 5, 2 calls 6.
        let names = ["root", "both", "both", "later", "later", "of one", "of the other"];
        let calls = [(0, 1), (1, 5), (2, 6), (3, 4)];
        let mut linked = Linked { bodies: vec![0..1; names.len()], ..Linked::default() };
        linked.names = (0..).zip(names.map(str::to_owned)).collect();
        for (from, to) in calls {
            linked.names_of.entry(Node::Function(from)).or_default().insert(Node::Function(to));
        }
        let later = linked.later(&BTreeSet::from(["root"]), &BTreeSet::new());
        assert_eq!(later.functions, BTreeSet::from(["later".to_owned()]));
    }

    #[test]
    fn padded_numbers_are_read() {
        assert_eq!(leb(&[0x85, 0x80, 0x80, 0x80, 0x00], 0), Some(5));
        assert_eq!(leb(&[0xe5, 0x8e, 0x26], 0), Some(624_485));
        assert_eq!(leb(&[0x80], 0), None);
    }

    #[test]
    fn a_module_without_relocations_is_refused() {
        let empty = [0, b'a', b's', b'm', 1, 0, 0, 0];
        assert!(Linked::read(&empty).is_err());
    }
}
