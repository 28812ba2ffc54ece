//! The forbidden arrows of DEVELOPERS.md, as tests: data flows one way, and what is absent stays absent.

use std::fs;
use std::path::{Path, PathBuf};

/// Text that must not occur below a folder, and why.
struct Forbidden {
    below: &'static str,
    except: &'static [&'static str],
    words: &'static [&'static str],
    because: &'static str,
}

const RULES: &[Forbidden] = &[
    Forbidden {
        below: "mesh/src",
        except: &[],
        words: &["panelwright_solver", "panelwright::", "std::fs", "std::io", "println!"],
        because: "mesh is geometry: no physics, no files, no terminal",
    },
    Forbidden {
        below: "solver/src",
        except: &[],
        words: &[
            "std::fs",
            "std::io",
            "println!",
            "hdf5",
            "toml::",
            "serde_json",
            "clap::",
            "indicatif",
            "maud",
        ],
        because: "the solver computes; only the shell reads, writes and talks",
    },
    Forbidden {
        below: "solver/src/scene",
        except: &[],
        words: &[
            "crate::plate",
            "crate::motor",
            "crate::drive",
            "crate::radiation",
            "crate::listening",
            "crate::predict",
        ],
        because: "a scene is plain data at the start of the flow",
    },
    Forbidden {
        below: "solver/src/plate",
        except: &[],
        words: &["crate::motor", "crate::drive", "crate::radiation", "crate::listening", "crate::predict"],
        because: "the plate knows nothing of what comes after it",
    },
    Forbidden {
        below: "solver/src/motor",
        except: &[],
        words: &["crate::plate", "crate::drive", "crate::radiation", "crate::listening", "crate::predict"],
        because: "a motor is shared by exciter and driver and knows neither panel nor sound",
    },
    Forbidden {
        below: "solver/src/filters",
        except: &[],
        words: &[
            "crate::plate",
            "crate::motor",
            "crate::drive",
            "crate::radiation",
            "crate::boundary",
            "crate::listening",
            "crate::predict",
        ],
        because: "a filter shapes a signal and knows nothing of what it drives",
    },
    Forbidden {
        below: "solver/src/drive",
        except: &[],
        words: &["crate::radiation", "crate::listening", "crate::predict"],
        because: "motion comes before sound",
    },
    Forbidden {
        below: "solver/src/radiation",
        except: &[],
        words: &["crate::motor", "crate::drive", "crate::boundary", "crate::listening", "crate::predict"],
        because: "radiation sees a moving surface, not its maker",
    },
    Forbidden {
        below: "solver/src/boundary",
        except: &[],
        words: &[
            "crate::plate",
            "crate::motor",
            "crate::drive",
            "crate::radiation",
            "crate::listening",
            "crate::predict",
            "crate::scene",
        ],
        because: "boundary elements see a surface and its velocity, not its maker",
    },
    Forbidden {
        below: "solver/src/driver",
        except: &["assembly/tests/bodies.rs"],
        words: &[
            "crate::drive:",
            "crate::radiation",
            "crate::boundary",
            "crate::listening",
            "crate::predict",
            "crate::surrounds",
        ],
        because: "a driver moves and has a shape; its sound is boundary's",
    },
    Forbidden {
        below: "solver/src/listening",
        except: &[],
        words: &["crate::motor", "crate::plate", "crate::radiation", "crate::predict"],
        because: "listening asks questions of finished numbers",
    },
    Forbidden {
        below: "cli/src/report",
        except: &[],
        words: &["solver::plate", "solver::drive::respond", "solver::radiation", "solver::predict"],
        because: "a report lays out numbers that listening made; it computes no physics",
    },
    Forbidden {
        below: "cli/src",
        except: &["terminal.rs"],
        words: &["println!", "eprintln!", "print!(", "io::stdout", "io::stderr"],
        because: "terminal.rs is the only place that writes to the terminal",
    },
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("tests/ has a parent").to_path_buf()
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        match path.is_dir() {
            true => found.extend(sources(&path)),
            false if path.extension().is_some_and(|ending| ending == "rs") => found.push(path),
            false => {}
        }
    }
    found
}

/// Code of a file: comments and its test module left out.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).expect("a source file is readable");
    let shipped = text.split("#[cfg(test)]").next().unwrap_or_default();
    shipped.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

fn violations(rule: &Forbidden) -> Vec<String> {
    let files = sources(&root().join(rule.below));
    assert!(!files.is_empty(), "{} has no source files: the rule about it checks nothing", rule.below);
    let exempt = |path: &Path| rule.except.iter().any(|name| path.ends_with(name));
    files
        .iter()
        .filter(|path| !exempt(path))
        .flat_map(|path| {
            let text = code(path);
            let hits: Vec<_> = rule.words.iter().filter(|word| text.contains(**word)).collect();
            hits.into_iter()
                .map(|word| format!("{} uses `{word}`: {}", path.display(), rule.because))
                .collect::<Vec<_>>()
        })
        .collect()
}

#[test]
fn no_forbidden_arrow() {
    let found: Vec<String> = RULES.iter().flat_map(violations).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_check_finds_what_it_forbids() {
    let planted = Forbidden { below: "solver/src", except: &[], words: &["use "], because: "planted" };
    assert!(!violations(&planted).is_empty());
}

#[test]
fn main_is_a_table_of_contents() {
    let main = fs::read_to_string(root().join("cli/src/main.rs")).expect("main.rs is readable");
    assert!(main.lines().count() <= 60, "main.rs has grown to {} lines", main.lines().count());
}

#[test]
fn files_fit_in_a_head() {
    for folder in ["mesh/src", "solver/src", "cli/src", "validation/src"] {
        // The key table of the case file is a table, and reads better in one piece.
        let table = Path::new("case/schema/tables.rs");
        for path in sources(&root().join(folder)).iter().filter(|path| !path.ends_with(table)) {
            let lines = code(path).lines().count();
            assert!(lines <= 400, "{} has {lines} lines of code: split it", path.display());
        }
    }
}
