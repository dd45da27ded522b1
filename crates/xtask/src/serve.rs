//! A small static server for this computer: the finished site, nothing else, to 127.0.0.1 only.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::{Component, Path, PathBuf};
use std::time::Duration;

use crate::{Result, site};

/// Serves a folder until the process is ended. Port 0 takes a free one; the printed address says which.
pub(crate) fn serve(folder: &Path, port: u16) -> Result<()> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))
        .map_err(|error| format!("port {port}: {error}; choose another one with --port"))?;
    println!("Sorrel: http://{}/", listener.local_addr()?);
    println!("(Ctrl-C ends it; the page goes on without it)");
    std::io::stdout().flush()?;
    for stream in listener.incoming().flatten() {
        let folder = folder.to_path_buf();
        std::thread::spawn(move || {
            // A browser that hangs up in the middle is no news.
            let _ = talk(stream, &folder);
        });
    }
    Ok(())
}

/// Answers the requests of one connection.
fn talk(mut stream: TcpStream, folder: &Path) -> std::io::Result<()> {
    stream.set_read_timeout(Some(Duration::from_secs(30)))?;
    stream.set_nodelay(true)?;
    let mut reader = BufReader::new(stream.try_clone()?);
    loop {
        let mut head = String::new();
        // A head of more than 16 kB is no browser's.
        let mut limited = (&mut reader).take(16 * 1024);
        while limited.read_line(&mut head)? > 2 {}
        let Some(request) = head.lines().next().filter(|line| !line.is_empty()) else { return Ok(()) };
        let mut words = request.split(' ');
        let (method, target) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
        let answer = answer(method, target, folder);
        stream.write_all(answer.head().as_bytes())?;
        if method != "HEAD" {
            stream.write_all(&answer.body)?;
        }
        // A body is never expected; after one the connection would be out of step.
        if !matches!(method, "GET" | "HEAD") {
            return Ok(());
        }
    }
}

struct Answer {
    status: &'static str,
    media_type: &'static str,
    body: Vec<u8>,
}

impl Answer {
    fn plain(status: &'static str) -> Self {
        Self { status, media_type: "text/plain; charset=utf-8", body: status.as_bytes().to_vec() }
    }

    fn head(&self) -> String {
        // Nothing is cached: what makes the page quick and offline is its service worker, and a site that is built
        // anew must show at once.
        format!(
            "HTTP/1.1 {}\r\nContent-Type: {}\r\nContent-Length: {}\r\nCache-Control: no-store\r\n\
             X-Content-Type-Options: nosniff\r\n\r\n",
            self.status,
            self.media_type,
            self.body.len()
        )
    }
}

fn answer(method: &str, target: &str, folder: &Path) -> Answer {
    if !matches!(method, "GET" | "HEAD") {
        return Answer::plain("405 Method Not Allowed");
    }
    let Some(path) = file_of(target) else { return Answer::plain("400 Bad Request") };
    match std::fs::read(folder.join(&path)) {
        Ok(body) => Answer { status: "200 OK", media_type: site::media_type(&path.to_string_lossy()), body },
        Err(_) => Answer::plain("404 Not Found"),
    }
}

/// The file below the folder that an address means; none if it would leave the folder.
fn file_of(target: &str) -> Option<PathBuf> {
    let path = target.split(['?', '#']).next()?.strip_prefix('/')?;
    let path = if path.is_empty() { "index.html" } else { path };
    // The names of the site need no escapes, so an address with one means no file of it.
    let safe = !path.contains(['%', '\\', '\0', ':'])
        && Path::new(path).components().all(|part| matches!(part, Component::Normal(_)));
    safe.then(|| PathBuf::from(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_become_files() {
        assert_eq!(file_of("/"), Some("index.html".into()));
        assert_eq!(file_of("/?x=1"), Some("index.html".into()));
        assert_eq!(file_of("/icons/sorrel.svg?v"), Some("icons/sorrel.svg".into()));
    }

    #[test]
    fn no_address_leaves_the_folder() {
        for target in
            ["/../Cargo.toml", "/icons/../../x", "//etc/passwd", "/%2e%2e/x", "/..\\x", "/c:x", "x", ""]
        {
            assert_eq!(file_of(target), None, "{target}");
        }
    }

    #[test]
    fn only_reading_is_answered() {
        assert_eq!(answer("POST", "/", Path::new("/")).status, "405 Method Not Allowed");
        assert_eq!(answer("GET", "/gone", Path::new("/nowhere")).status, "404 Not Found");
    }
}
