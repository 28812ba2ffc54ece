//! Opens a page in headless Chromium the way a reader would, uses every control and collects what goes wrong.

use std::path::{Path, PathBuf};
use std::process::{Child, Command};
use std::time::{Duration, Instant};

/// Longest time a page may take on a busy machine.
const PATIENCE: Duration = Duration::from_secs(120);

/// What a page did.
#[derive(Debug)]
pub struct PageCheck {
    /// Script errors and refused requests, one per entry.
    pub errors: Vec<String>,
    /// The document after every control was used.
    pub dom: String,
    /// What the self-test used: counts of controls and readouts, and the drawings that said nothing.
    pub used: serde_json::Value,
}

/// Opens the page at `path` and uses every control once.
///
/// # Panics
/// If Chromium is missing or does not run: a page nobody opened is not a page that works.
pub fn open(path: &Path) -> PageCheck {
    let url = format!("{}#selftest", file_url(path));
    let dom = chromium(&["--virtual-time-budget=60000".into(), "--dump-dom".into(), url]);
    let mut errors: Vec<String> = match attribute(&dom, "data-errors") {
        Some(text) => text.split(';').filter(|e| !e.is_empty()).map(str::to_owned).collect(),
        None => vec!["the page never started to collect errors".into()],
    };
    let used = attribute(&dom, "data-selftest").map(|text| text.replace("&quot;", "\""));
    let used = used.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_else(|| {
        errors.push("the self-test did not finish".into());
        serde_json::Value::Null
    });
    PageCheck { errors, dom, used }
}

/// Takes a picture of the page, `width` × `height` pixels, and returns the bytes of the PNG.
///
/// # Panics
/// As [`open`].
pub fn screenshot(path: &Path, width: u32, height: u32) -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let picture = folder.path().join("page.png");
    let size = format!("--window-size={width},{height}");
    chromium(&[size, format!("--screenshot={}", picture.display()), file_url(path)]);
    std::fs::read(&picture).expect("Chromium wrote the picture it was asked for")
}

/// Prints the page and returns the bytes of the PDF.
///
/// # Panics
/// As [`open`].
pub fn print(path: &Path) -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let paper = folder.path().join("page.pdf");
    let target = format!("--print-to-pdf={}", paper.display());
    chromium(&[target, "--no-pdf-header-footer".into(), file_url(path)]);
    std::fs::read(&paper).expect("Chromium wrote the pages it was asked for")
}

fn file_url(path: &Path) -> String {
    format!("file://{}", path.canonicalize().expect("the page exists").display())
}

fn program() -> PathBuf {
    let names = ["chromium", "chromium-browser", "google-chrome"];
    let folders =
        std::env::var_os("PATH").map(|p| std::env::split_paths(&p).collect::<Vec<_>>()).unwrap_or_default();
    let candidates = folders.iter().flat_map(|folder| names.iter().map(move |name| folder.join(name)));
    candidates.into_iter().find(|p| p.is_file()).expect(
        "this test opens the report in headless Chromium and found none: install it (Debian, Ubuntu: `apt install chromium`, \
         or `make test`, which does)",
    )
}

/// Runs Chromium to its end and returns what it printed.
fn chromium(arguments: &[String]) -> String {
    let profile = tempfile::tempdir().expect("a temporary folder can be made");
    let (printed, complaints) = (profile.path().join("stdout"), profile.path().join("stderr"));
    let file = |path: &Path| std::fs::File::create(path).expect("a temporary file can be made");
    let mut browser = Command::new(program())
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
        .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
        .args(["--hide-scrollbars", "--force-device-scale-factor=1"])
        .arg(format!("--user-data-dir={}", profile.path().join("profile").display()))
        .args(arguments)
        .stdout(file(&printed))
        .stderr(file(&complaints))
        .spawn()
        .expect("Chromium can be started");
    let text = |path: &Path| {
        std::fs::read(path).map(|b| String::from_utf8_lossy(&b).into_owned()).unwrap_or_default()
    };
    let ended = wait(&mut browser);
    assert!(ended, "Chromium failed or took more than {PATIENCE:?}:\n{}", text(&complaints));
    text(&printed)
}

/// True if the browser ended well before [`PATIENCE`] ran out; a script that never returns is stopped.
fn wait(browser: &mut Child) -> bool {
    let start = Instant::now();
    while start.elapsed() < PATIENCE {
        if let Some(status) = browser.try_wait().expect("a child can be waited for") {
            return status.success();
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    browser.kill().and_then(|()| browser.wait().map(drop)).expect("a child can be stopped");
    false
}

/// Value of an attribute of the root element.
fn attribute<'d>(dom: &'d str, name: &str) -> Option<&'d str> {
    let root = &dom[dom.find("<html")?..];
    let tag = &root[..root.find('>')?];
    let value = &tag[tag.find(&format!("{name}=\""))? + name.len() + 2..];
    Some(&value[..value.find('"')?])
}
