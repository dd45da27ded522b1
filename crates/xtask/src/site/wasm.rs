//! From Rust to the two modules of the page and their glue.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use serde_json::Value;
use wasm_bindgen_cli_support::Bindgen;

use super::Edition;
use super::split::{Halves, split};
use crate::{Result, sha256, shell, workspace};

/// One module: the wasm and the script that connects it to the browser.
pub(crate) struct Module {
    /// The name both files get, without ending.
    pub name: &'static str,
    /// The glue, for a classic script.
    pub glue: String,
    /// The module itself, without names and debug information.
    pub wasm: Vec<u8>,
    /// Its second part, if it is divided.
    pub rest: Option<Vec<u8>>,
}

/// The crates that become modules, and the names these get in the site.
const MODULES: [(&str, &str); 2] = [("sorrel-web", "page"), ("sorrel-worker", "imaging")];

/// What dividing a module needs: the linker's notes on what names what, and names that say which type a function is of.
const SPLIT_FLAGS: [&str; 2] = ["-Clink-arg=--emit-relocs", "-Csymbol-mangling-version=v0"];

/// The module that is divided; see [`split`].
const DIVIDED: &str = "page";

/// Compiles both modules once, with the profile `modules`.
pub(crate) fn modules(edition: Edition) -> Result<Vec<Module>> {
    setup_target()?;
    let mut cargo = shell::cargo();
    cargo.args(["build", "--profile", "modules", "--target", "wasm32-unknown-unknown", "--lib"]);
    cargo.args(["--message-format", "json-render-diagnostics"]);
    for (package, _) in MODULES {
        cargo.args(["--package", package]);
    }
    if edition == Edition::TestSite {
        cargo.args(["--features", "sorrel-web/test-clock"]);
    }
    cargo.env("SORREL_BUILD", source_build()?);
    cargo.env(
        "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS",
        format!("{} {}", remap_flags()?, SPLIT_FLAGS.join(" ")),
    );
    // RUSTFLAGS of the environment would replace the house's own flags, and with them simd128 and the remapping.
    cargo.env_remove("RUSTFLAGS").env_remove("CARGO_ENCODED_RUSTFLAGS");
    let messages = shell::output(&mut cargo)?;

    MODULES
        .iter()
        .map(|&(package, name)| {
            let wasm = artefact(&messages, package)
                .ok_or_else(|| format!("cargo named no wasm file for {package}"))?;
            bind(name, &wasm)
        })
        .collect()
}

/// Adds the wasm target to the pinned toolchain when rustup has not done so by itself.
fn setup_target() -> Result<()> {
    crate::setup::wasm_target()
}

/// The wasm file of a package, from cargo's JSON messages: the target folder may be anywhere.
fn artefact(messages: &str, package: &str) -> Option<PathBuf> {
    messages
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .filter(|message| message["reason"] == "compiler-artifact")
        .filter(|message| message["target"]["name"].as_str() == Some(&package.replace('-', "_")))
        .filter_map(|message| {
            let files = message["filenames"].as_array()?;
            files.iter().filter_map(Value::as_str).find(|file| file.ends_with(".wasm")).map(PathBuf::from)
        })
        .next_back()
}

/// Makes the glue, and drops what only a debugger would read.
fn bind(name: &'static str, wasm: &Path) -> Result<Module> {
    let divided = name == DIVIDED;
    let mut bindgen = Bindgen::new();
    let mut output = bindgen
        .input_path(wasm)
        .out_name(name)
        .no_modules(true)?
        .typescript(false)
        .omit_default_module_path(true)
        .remove_name_section(!divided)
        .demangle(false)
        .remove_producers_section(true)
        .generate_output()?;
    // Every crate with bindings has a list of snippets, mostly an empty one.
    let snippets = output.snippets().values().any(|list| !list.is_empty());
    if snippets || !output.local_modules().is_empty() {
        return Err(format!("{name}: the glue of a classic script cannot carry JavaScript of a crate").into());
    }
    let glue = output.js().to_owned();
    let whole = output.wasm_mut();
    let glue = shorten(whole, &glue)?;
    // What the linker noted holds for its own file only.
    let notes: Vec<_> = whole
        .customs
        .iter()
        .filter(|(_, section)| section.name() == "linking" || section.name().starts_with("reloc."))
        .map(|(id, _)| id)
        .collect();
    for note in notes {
        whole.customs.delete(note);
    }
    let whole = whole.emit_wasm();
    if !divided {
        return Ok(Module { name, glue, wasm: whole, rest: None });
    }
    let Halves { front, rest } = split(&std::fs::read(wasm)?, &whole)?;
    Ok(Module { name, glue, wasm: front, rest: Some(rest) })
}

/// Gives what the browser does for a module short names, in module and glue alike, and takes remarks and indents out of the
/// glue. The names end in sums, which no compression makes smaller.
fn shorten(module: &mut walrus::Module, glue: &str) -> Result<String> {
    let mut short = BTreeMap::new();
    for (number, import) in module.imports.iter_mut().enumerate() {
        let name = std::mem::replace(&mut import.name, format!("i{number}"));
        short.insert(name, import.name.clone());
    }
    let mut out = String::with_capacity(glue.len());
    let mut found = BTreeSet::new();
    for line in glue.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with("// ")) {
        match line.split_once(": ").and_then(|(name, rest)| Some((short.get_key_value(name)?, rest))) {
            Some(((name, new), rest)) => {
                if !found.insert(name) {
                    return Err(format!("the glue gives {name} twice").into());
                }
                out += &format!("{new}: {rest}");
            }
            None => out += line,
        }
        out.push('\n');
    }
    match short.keys().find(|name| !found.contains(name)) {
        Some(lost) => Err(format!("the glue does not give {lost}").into()),
        None => Ok(out),
    }
}

/// What both modules carry as their build: a sum over everything they are compiled from. Page and worker of different
/// builds refuse each other by it.
fn source_build() -> Result<String> {
    let mut listing = String::new();
    let mut files =
        vec![workspace::at("Cargo.lock"), workspace::at("Cargo.toml"), workspace::at(".cargo/config.toml")];
    for crate_ in ["core", "imaging", "charts", "web", "worker"] {
        files.push(workspace::at(&format!("crates/{crate_}/Cargo.toml")));
        files.extend(workspace::files_below(&workspace::at(&format!("crates/{crate_}/src"))));
    }
    for file in files {
        let name = workspace::name_below(workspace::root(), &file);
        listing += &format!("{name} {}\n", sha256::hex(&std::fs::read(&file)?));
    }
    Ok(sha256::hex(listing.as_bytes())[..12].to_owned())
}

/// Takes the paths of this machine out of the modules, so that two clones give the same bytes.
fn remap_flags() -> Result<String> {
    let metadata = shell::output(shell::cargo().args(["metadata", "--format-version", "1", "--locked"]))?;
    let metadata: Value = serde_json::from_str(&metadata)?;
    let root = workspace::root();
    let mut folders = BTreeSet::new();
    for package in metadata["packages"].as_array().into_iter().flatten() {
        let manifest = Path::new(package["manifest_path"].as_str().unwrap_or_default());
        // …/registry/src/index-…/name-1.2.3/Cargo.toml
        if let Some(folder) = manifest.parent().and_then(Path::parent)
            && !manifest.starts_with(root)
        {
            folders.insert(folder.to_path_buf());
        }
    }
    let sysroot = shell::output(shell::command("rustc").args(["--print", "sysroot"]))?;
    folders.insert(Path::new(sysroot.trim()).join("lib/rustlib/src/rust"));

    let mut flags = vec![format!("--remap-path-prefix={}=/sorrel", root.display())];
    flags.extend(folders.iter().map(|folder| format!("--remap-path-prefix={}=/packages", folder.display())));
    if flags.iter().any(|flag| flag.contains(' ')) {
        return Err(
            "a folder with a space in its name cannot be taken out of the modules; move the clone".into()
        );
    }
    Ok(flags.join(" "))
}

#[cfg(test)]
mod tests {
    use super::{artefact, shorten};

    #[test]
    fn module_and_glue_get_the_same_short_names() {
        const NAMES: [&str; 2] = ["__wbg_now_16f0c993d5dd6c27", "__wbg_play_63bc12f42e8af9f2"];
        let module = || {
            let mut module = walrus::Module::default();
            let ty = module.types.add(&[], &[]);
            for name in NAMES {
                module.add_import_func("./page_bg.js", name, ty);
            }
            module
        };
        let offered = |name: &str| {
            format!("  {name}: function() {{\n    // a remark: gone\n  return a ? 1: 2;\n }},\n\n")
        };
        let one = offered(NAMES[1]);
        let two = one.clone() + &offered(NAMES[0]);
        let mut made = module();
        let glue = shorten(&mut made, &two).unwrap();
        let names: Vec<&str> = made.imports.iter().map(|import| import.name.as_str()).collect();
        assert_eq!(names, ["i0", "i1"]);
        let body = ": function() {\nreturn a ? 1: 2;\n},\n";
        assert_eq!(glue, format!("i1{body}i0{body}"));
        assert!(shorten(&mut module(), &one).is_err(), "one is missing");
        assert!(shorten(&mut module(), &(two + &one)).is_err(), "one is there twice");
    }

    #[test]
    fn the_wasm_file_is_found_among_cargos_messages() {
        let messages = concat!(
            r#"{"reason":"compiler-artifact","target":{"name":"sorrel_core"},"filenames":["/t/libsorrel_core.rlib"]}"#,
            "\n",
            r#"{"reason":"compiler-artifact","target":{"name":"sorrel_web"},"filenames":["/t/libsorrel_web.rlib","/t/sorrel_web.wasm"]}"#,
            "\n",
            r#"{"reason":"build-finished","success":true}"#,
        );
        assert_eq!(
            artefact(messages, "sorrel-web").as_deref(),
            Some(std::path::Path::new("/t/sorrel_web.wasm"))
        );
        assert_eq!(artefact(messages, "sorrel-worker"), None);
    }
}
