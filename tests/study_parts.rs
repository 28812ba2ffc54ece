//! Studies in parts: gathered from several folders, tried again where something failed, in folders that cannot be written to.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright_tests::studies::{finished, flat, place, study, variants, variants_of, well};
use std::fs;
use std::path::Path;

const CASE: &str = include_str!("data/small-study.toml");

/// Computes parts of the study of `my.toml` in a folder of its own.
fn part(folder: &Path, shard: &str, into: &str) {
    well(folder, &["run", "my.toml", "--shard", shard, "--workers", "1", "--into", into]);
}

/// A study that one process has computed.
fn whole() -> tempfile::TempDir {
    let folder = place(CASE);
    well(folder.path(), &["run", "my.toml"]);
    folder
}

#[test]
fn parts_of_several_machines_are_one_study_afterwards() {
    let (alone, folder) = (whole(), place(CASE));
    let here = folder.path();
    part(here, "1/3", "my-study");
    part(here, "2/3", "attic");
    // Cut otherwise, so that it overlaps with the second part.
    part(here, "2/2", "cellar");
    let some = well(here, &["gather", "my.toml", "attic"]);
    let told = flat(&some.out);
    assert!(told.contains("40 of 60 variants are gathered in my-study"), "{told}");
    assert!(told.contains("20 from my-study, 20 from attic") && told.contains("20 are missing"), "{told}");
    assert!(told.contains("of the parts 3 of 3: `panelwright study run my.toml --shard 3/3`"), "{told}");
    assert_eq!(finished(here)["finished"], 40);

    let all = well(here, &["gather", "my.toml", "attic", "./cellar/", "cellar"]);
    let told = flat(&all.out);
    assert!(told.contains("All 60 variants are gathered in my-study"), "{told}");
    assert!(told.contains("40 from my-study, 0 from attic, 20 from ./cellar/."), "{told}");
    assert!(told.contains("30 were there twice with the same bits"), "{told}");
    let expected = variants(alone.path());
    assert!(variants_of(&here.join("my-study/gathered.h5")) == expected && expected.len() == 60);

    // As if one machine had done it all.
    let listed = |folder: &Path| well(folder, &["rank", "my.toml", "--json", "--top", "60"]).out;
    assert_eq!(listed(here), listed(alone.path()));
    let shown = |folder: &Path| well(folder, &["show", "my.toml", "17"]).out;
    assert_eq!(shown(here), shown(alone.path()));
    let table = |folder: &Path| {
        well(folder, &["export", "my.toml"]);
        fs::read_to_string(folder.join("my-study/variants.csv")).unwrap()
    };
    assert_eq!(table(here), table(alone.path()));
    assert!(study(here, &["run", "my.toml"]).out.contains("All 60 variants are finished."));
}

#[test]
fn parts_that_shared_a_folder_are_gathered_where_they_are() {
    let (alone, folder) = (whole(), place(CASE));
    for shard in ["2/4", "1/4", "4/4", "3/4"] {
        part(folder.path(), shard, "my-study");
    }
    let told = flat(&well(folder.path(), &["gather", "my.toml"]).out);
    assert!(told.contains("All 60 variants") && !told.contains("twice"), "{told}");
    assert!(variants_of(&folder.path().join("my-study/gathered.h5")) == variants(alone.path()));
    // Gathered once more, nothing counts as twice.
    let told = flat(&well(folder.path(), &["gather", "my.toml", "my-study"]).out);
    assert!(told.contains("All 60 variants") && !told.contains("twice"), "{told}");
}

#[test]
fn folders_of_another_study_are_refused_and_nothing_is_written() {
    let folder = place(CASE);
    let here = folder.path();
    fs::write(here.join("other.toml"), CASE.replace("\"240 mm\"", "\"250 mm\"")).unwrap();
    well(here, &["run", "other.toml", "--shard", "1/6", "--into", "other"]);
    part(here, "1/6", "attic");
    for (arguments, expected) in [
        (
            &["attic", "other"][..],
            "other holds another study: `panel.height` was \"250 mm\", it is \"240 mm\"",
        ),
        (&["attic", "nowhere"], "no study has begun in nowhere"),
        (&[], "no study has begun in my-study"),
    ] {
        let refused = study(here, &[&["gather", "my.toml"], arguments].concat());
        assert_eq!(refused.code, Some(1), "{}", refused.out);
        assert!(flat(&refused.err).contains(expected), "{}", refused.err);
        assert!(!here.join("my-study").exists());
    }
    // What differs in bits cannot be told from a journal alone: another study's journal is no journal of this one.
    fs::copy(here.join("other/shard-1-of-6.journal"), here.join("attic/shard-2-of-6.journal")).unwrap();
    let refused = study(here, &["gather", "my.toml", "attic"]);
    assert!(
        refused.code == Some(1) && flat(&refused.err).contains("not a journal of this study"),
        "{}",
        refused.err
    );
    assert!(!here.join("my-study/gathered.journal").exists() && !here.join("my-study/gathered.h5").exists());
}

#[test]
fn what_one_number_of_parts_has_finished_another_does_not_compute_again() {
    let folder = place(CASE);
    let here = folder.path();
    part(here, "1/4", "my-study");
    part(here, "2/8", "my-study");
    part(here, "3/8", "my-study");
    // 15 of the first quarter, which is the first two eighths, and 7 of the third eighth.
    assert_eq!((finished(here)["finished"].as_u64().unwrap(), variants(here).len()), (22, 22));
    for eighth in 1..=8 {
        part(here, &format!("{eighth}/8"), "my-study");
    }
    // None stands twice, whichever file it is in.
    assert!(variants(here) == variants(whole().path()));
}

/// A rectangular panel as a drawing.
const DRAWING: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="240mm" viewBox="0 0 300 240"><path d="M0 0 H300 V240 H0 Z"/></svg>"#;

/// The small study with two drawings of the panel.
fn two_drawings() -> String {
    let drawn = CASE.replace("width = \"300 mm\"\nheight = \"240 mm\"\n", "drawing = \"one.svg\"\n");
    let vary = "[[study.vary]]\nname = \"drawing\"\nvalue = \"panel.drawing\"\nlist = [\"one.svg\", \"two.svg\"]\n\n";
    let (before, after) = drawn.split_once("[[study.objective]]").unwrap();
    format!("{before}{vary}[[study.objective]]{after}").replace("variants = 60", "variants = 24")
}

#[test]
fn what_failed_is_tried_once_more_on_request_and_counts_once() {
    let folder = place(&two_drawings());
    let here = folder.path();
    fs::write(here.join("one.svg"), DRAWING).unwrap();
    well(here, &["run", "my.toml", "--shard", "1/2"]);
    well(here, &["run", "my.toml", "--shard", "2/2"]);
    let failed = finished(here)["failed"].as_u64().unwrap();
    assert!((6..=18).contains(&failed), "{failed}");

    fs::write(here.join("two.svg"), DRAWING).unwrap();
    let plain = well(here, &["run", "my.toml", "--shard", "1/2"]);
    assert!(flat(&plain.out).contains(&format!("{failed} failed: ")), "{}", plain.out);
    assert_eq!(finished(here)["failed"], failed);
    let tried = well(here, &["run", "my.toml", "--shard", "1/2", "--retry-failed"]);
    let left = finished(here)["failed"].as_u64().unwrap();
    assert!(left < failed, "{}", tried.out);
    // Those of the other half lie in a journal of their own; the whole computes them all the same.
    well(here, &["run", "my.toml", "--retry-failed"]);
    let state = finished(here);
    assert_eq!(
        (&state["finished"], &state["failed"], &state["computed"]),
        (&24.into(), &0.into(), &24.into())
    );
    assert_eq!(variants_of(&here.join("my-study/shard-1-of-2.h5")).len(), 12);

    // A drawing that only variants name must stay what it was when they were computed.
    for name in ["one.svg", "two.svg"] {
        fs::write(here.join(name), DRAWING.replace("/>", " />")).unwrap();
        let refused = study(here, &["run", "my.toml"]);
        let told = flat(&refused.err);
        assert!(
            refused.code == Some(1) && told.contains(&format!("the file \"{name}\" has changed")),
            "{told}"
        );
        fs::write(here.join(name), DRAWING).unwrap();
    }
    well(here, &["run", "my.toml"]);

    let fresh = place(&two_drawings());
    for name in ["one.svg", "two.svg"] {
        fs::write(fresh.path().join(name), DRAWING).unwrap();
    }
    well(fresh.path(), &["run", "my.toml"]);
    well(here, &["gather", "my.toml"]);
    assert!(variants_of(&here.join("my-study/gathered.h5")) == variants(fresh.path()));
}

/// Permissions do not bind the superuser, so the program runs as nobody there, from a place that nobody can reach.
#[cfg(unix)]
#[test]
fn a_read_only_folder_is_a_clear_message_and_loses_nothing() {
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;
    let folder = place(CASE);
    let here = folder.path();
    well(here, &["run", "my.toml", "--shard", "1/2"]);
    let mode = |path: &Path, mode: u32| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    let program = here.join("panelwright");
    fs::copy(panelwright_tests::program(here, &[]).get_program(), &program).unwrap();
    mode(here, 0o755);
    let superuser = is_superuser();
    let nobody = |arguments: &[&str]| {
        let mut command = std::process::Command::new(&program);
        command.arg("study").args(arguments).current_dir(here).env("NO_COLOR", "1");
        if superuser {
            command.uid(65_534).gid(65_534);
        }
        panelwright_tests::Ran::from(command.output().unwrap())
    };
    let study = here.join("my-study");
    mode(&study, 0o555);
    for entry in fs::read_dir(&study).unwrap() {
        mode(&entry.unwrap().path(), 0o444);
    }
    for arguments in [&["run", "my.toml"][..], &["run", "my.toml", "--shard", "1/2"], &["gather", "my.toml"]]
    {
        let refused = nobody(arguments);
        let told = flat(&refused.err);
        assert_eq!(refused.code, Some(1), "{arguments:?}: {told}");
        assert!(
            told.contains("It is read-only for you") && told.contains("What is finished is kept"),
            "{told}"
        );
    }
    // Whoever only looks needs no more.
    let looked = nobody(&["status", "my.toml"]);
    assert!(
        looked.code == Some(0) && looked.out.contains("30 of 60 variants are finished"),
        "{}",
        looked.err
    );

    mode(&study, 0o755);
    for entry in fs::read_dir(&study).unwrap() {
        mode(&entry.unwrap().path(), 0o644);
    }
    let ran = well(here, &["run", "my.toml"]);
    assert!(ran.err.contains("30 are finished, 30 to go"), "{}", ran.err);
    assert!(variants(here) == variants(whole().path()));
}

#[cfg(unix)]
fn is_superuser() -> bool {
    let asked = std::process::Command::new("id").arg("-u").output().unwrap();
    String::from_utf8_lossy(&asked.stdout).trim() == "0"
}

#[test]
fn a_file_in_place_of_the_folder_is_a_clear_message() {
    let folder = place(CASE);
    fs::write(folder.path().join("my-study"), "not a folder").unwrap();
    let refused = study(folder.path(), &["run", "my.toml"]);
    assert_eq!(refused.code, Some(1));
    assert!(flat(&refused.err).contains("give another folder with --into"), "{}", refused.err);
    assert_eq!(fs::read_to_string(folder.path().join("my-study")).unwrap(), "not a folder");
}
