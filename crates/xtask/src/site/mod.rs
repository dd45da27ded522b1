//! The finished static site: `target/site`, or `target/test-site` for the page tests.

mod document;
mod split;
mod squeeze;
mod wasm;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde_json::json;

use crate::{Result, sha256, workspace};

/// Which site is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Edition {
    /// What is shipped.
    Site,
    /// The same with a clock that page tests can move.
    TestSite,
}

/// A site that was built.
pub(crate) struct Built {
    /// Where it lies.
    pub folder: PathBuf,
}

/// What a browser is told about a file of the site, by its ending.
pub(crate) fn media_type(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js" | "mjs") => "text/javascript; charset=utf-8",
        Some("json") => "application/json",
        Some("webmanifest") => "application/manifest+json",
        Some("wasm") => "application/wasm",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("jpg" | "jpeg") => "image/jpeg",
        Some("woff2") => "font/woff2",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// Builds a site and says what came out.
pub(crate) fn build(edition: Edition) -> Result<Built> {
    let modules = wasm::modules(edition)?;
    let mut site = assemble(&workspace::at("www"), modules)?;
    let build = site.seal()?;
    let folder = workspace::at(match edition {
        Edition::Site => "target/site",
        Edition::TestSite => "target/test-site",
    });
    site.write(&folder)?;
    println!("{}: build {build}", folder.display());
    for (name, bytes) in &site.files {
        println!("  {:>9}  {name}", bytes.len());
    }
    Ok(Built { folder })
}

/// The files of a site, by their names in it.
struct Site {
    files: BTreeMap<String, Vec<u8>>,
}

/// Joins, names and connects all files.
fn assemble(www: &Path, modules: Vec<wasm::Module>) -> Result<Site> {
    let mut site = Site { files: BTreeMap::new() };
    let mut names = BTreeMap::new();

    for module in modules {
        site.add_named(&mut names, &format!("{}.wasm", module.name), module.wasm);
        site.add_named(&mut names, &format!("{}.js", module.name), module.glue.into_bytes());
        if let Some(rest) = module.rest {
            site.add_named(&mut names, "rest.wasm", rest);
        }
    }
    let (mut styles, mut document, mut stations) = (Vec::new(), None, BTreeMap::new());
    for path in workspace::files_below(www) {
        let name = workspace::name_below(www, &path);
        let bytes = std::fs::read(&path)?;
        match name.as_str() {
            "index.html" => document = Some(String::from_utf8(bytes)?),
            "sw.js" | "manifest.webmanifest" => site.add(&name, bytes),
            _ if name.starts_with("stations/") => {
                stations.insert(name, String::from_utf8(bytes)?);
            }
            _ if name.ends_with(".css") => styles.push((name, String::from_utf8(bytes)?)),
            _ if name.ends_with(".js") => {
                let script = squeeze::script(&name, &String::from_utf8(bytes)?)?;
                site.add_named(&mut names, &name, script.into_bytes());
            }
            _ => site.add(&name, bytes),
        }
    }
    for (name, style) in styles {
        let style = squeeze::style(&name, &document::rename_urls(&style, &names))?;
        site.add_named(&mut names, &name, style.into_bytes());
    }

    let document = document.ok_or("www/index.html is missing")?;
    let document = document::join(&document, |name| {
        let file = format!("stations/{name}.html");
        // Taken out, so that none can stand twice and those that stand nowhere are found.
        stations.remove(&file).ok_or_else(|| {
            format!("the page names {name}, but www/{file} is not there, or stands there already").into()
        })
    })?;
    if let Some(file) = stations.keys().next() {
        return Err(format!("www/{file} stands nowhere in the page: no comment names it").into());
    }
    let document = document::rename(&squeeze::document(&document)?, &names);
    let missing = document::missing(&document, |name| site.files.contains_key(name));
    if !missing.is_empty() {
        return Err(
            format!("index.html refers to files that the site has not: {}", missing.join(", ")).into()
        );
    }
    site.add("index.html", document.into_bytes());
    Ok(site)
}

impl Site {
    fn add(&mut self, name: &str, bytes: Vec<u8>) {
        self.files.insert(name.to_owned(), bytes);
    }

    /// Adds a file under a name that carries the sum of its content: `page.js` -> `page.1f2e3d4c5b.js`.
    fn add_named(&mut self, names: &mut BTreeMap<String, String>, name: &str, bytes: Vec<u8>) {
        let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
        let full = format!("{stem}.{}.{ending}", &sha256::hex(&bytes)[..10]);
        names.insert(name.to_owned(), full.clone());
        self.add(&full, bytes);
    }

    /// Gives the site its id, writes it into the document, and adds the list by which the service worker stores it.
    fn seal(&mut self) -> Result<String> {
        let listing: String =
            self.kept_files().map(|(name, bytes)| format!("{name} {}\n", sha256::hex(bytes))).collect();
        let build = sha256::hex(listing.as_bytes())[..12].to_owned();

        let document = self.files.get_mut("index.html").ok_or("the site has no document")?;
        let text = String::from_utf8(std::mem::take(document))?;
        if !text.contains("data-build=\"\"") {
            return Err("index.html must load start.js with an empty data-build".into());
        }
        *document = text.replace("data-build=\"\"", &format!("data-build=\"{build}\"")).into_bytes();

        let files: Vec<_> = self
            .kept_files()
            .map(|(name, bytes)| {
                let path = if name == "index.html" { "./" } else { name };
                json!({ "path": path, "type": media_type(name), "sha256": sha256::hex(bytes) })
            })
            .collect();
        let list = json!({ "build": build, "files": files });
        self.add("build.json", serde_json::to_vec(&list)?);
        Ok(build)
    }

    /// What belongs to a build; the service worker serves all builds and belongs to none.
    fn kept_files(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.files
            .iter()
            .map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
            .filter(|(name, _)| *name != "sw.js")
    }

    /// Writes the site beside its place, then puts it there, so that a server never sees half of one.
    fn write(&self, folder: &Path) -> Result<()> {
        let beside = folder.with_extension("new");
        let _ = std::fs::remove_dir_all(&beside);
        for (name, bytes) in &self.files {
            let path = beside.join(name);
            std::fs::create_dir_all(path.parent().ok_or("a file has a folder")?)?;
            std::fs::write(path, bytes)?;
        }
        let _ = std::fs::remove_dir_all(folder);
        std::fs::rename(&beside, folder)?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn site(document: &str, script: &str) -> Site {
        let mut site = Site { files: BTreeMap::new() };
        site.add("sw.js", b"// serves".to_vec());
        site.add("index.html", document.as_bytes().to_vec());
        site.add_named(&mut BTreeMap::new(), "start.js", script.as_bytes().to_vec());
        site
    }

    #[test]
    fn the_list_names_every_file_but_the_service_worker_and_itself() {
        let mut site = site("<script data-build=\"\"></script>", "go()");
        let build = site.seal().unwrap();
        let list: serde_json::Value = serde_json::from_slice(&site.files["build.json"]).unwrap();
        let paths: Vec<_> =
            list["files"].as_array().unwrap().iter().map(|file| file["path"].as_str().unwrap()).collect();
        assert_eq!(list["build"], build.as_str());
        assert_eq!(paths[0], "./");
        assert!(paths[1].starts_with("start.") && paths.len() == 2, "{paths:?}");
        let document = String::from_utf8(site.files["index.html"].clone()).unwrap();
        assert!(document.contains(&build));
        assert_eq!(list["files"][0]["sha256"], sha256::hex(document.as_bytes()).as_str());
    }

    #[test]
    fn the_id_changes_with_any_file_of_the_build_and_with_nothing_else() {
        let id = |document: &str, script: &str| site(document, script).seal().unwrap();
        let base = id("<p data-build=\"\">a</p>", "go()");
        assert_eq!(base, id("<p data-build=\"\">a</p>", "go()"));
        assert_ne!(base, id("<p data-build=\"\">b</p>", "go()"));
        assert_ne!(base, id("<p data-build=\"\">a</p>", "went()"));
    }
}
