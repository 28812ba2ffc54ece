//! `panelwright study`: nothing finished is lost or done twice, whatever happens; the same seed gives the same bits.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use hdf5::File;
use panelwright_tests::studies::{Bits, finished, flat, place, study, variants};
use panelwright_tests::{program, run};
use serde_json::Value;
use std::fs;
use std::process::{Command, Stdio};
use std::thread::{self, sleep};
use std::time::Duration;

const CASE: &str = include_str!("data/small-study.toml");

#[test]
fn a_study_runs_ranks_shows_and_exports() {
    let folder = place(CASE);
    let ran = study(folder.path(), &["run", "my.toml"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(
        ran.err.contains("60 variants of across; up; thickness") && ran.err.contains("take about"),
        "{}",
        ran.err
    );
    assert!(ran.out.contains("All 60 variants are finished"), "{}", ran.out);
    let state = finished(folder.path());
    assert_eq!((&state["finished"], &state["failed"]), (&60.into(), &0.into()));

    let ranked = study(folder.path(), &["rank", "my.toml", "--json", "--top", "60"]);
    let ranked: Vec<Value> = serde_json::from_str(&ranked.out).unwrap();
    let scores: Vec<f64> = ranked.iter().map(|variant| variant["score"].as_f64().unwrap()).collect();
    assert!(scores.len() == 60 && scores.windows(2).all(|pair| pair[0] <= pair[1]));
    // The score is what the help says: one for each decibel of unevenness, half a one for each decibel of level.
    let number = |i: usize, k: usize| ranked[i]["objectives"][k][1].as_f64().unwrap();
    for i in [0, 30, 59] {
        assert!((scores[i] - (number(i, 0) - 0.5 * number(i, 1))).abs() < 1e-9);
    }
    // The front holds the best in every single thing.
    let least = (0..60).min_by(|&a, &b| number(a, 0).total_cmp(&number(b, 0))).unwrap();
    let loudest = (0..60).max_by(|&a, &b| number(a, 1).total_cmp(&number(b, 1))).unwrap();
    assert!([0, least, loudest].iter().all(|&i| ranked[i]["on_the_front"] == true));

    let told = flat(&study(folder.path(), &["rank", "my.toml"]).out);
    assert!(told.contains("What matters") && told.contains("cost: thickness 100 %"), "{told}");

    let best = ranked[0]["variant"].to_string();
    let shown = study(folder.path(), &["show", "my.toml", &best]);
    assert!(shown.out.contains("Place 1 of 60"), "{}", shown.out);
    assert!(study(folder.path(), &["show", "my.toml", "60"]).err.contains("numbered from 0 to 59"));

    // The best, as a case of its own, is predicted as the study said.
    let exported = study(folder.path(), &["export", "my.toml", "--variant", &best, "--to", "best.toml"]);
    assert_eq!(exported.code, Some(0), "{}", exported.err);
    let again = study(folder.path(), &["export", "my.toml", "--variant", &best, "--to", "best.toml"]);
    assert!(again.code == Some(1) && again.err.contains("not overwritten"), "{}", again.err);
    let predicted = run(folder.path(), &["predict", "best.toml", "--json"]);
    assert_eq!(predicted.code, Some(0), "{}", predicted.err);
    let findings: Value = serde_json::from_str(&predicted.out).unwrap();
    let levels: Vec<f64> = findings["seats"][0]["level"]
        .as_array()
        .unwrap()
        .iter()
        .map(|level| level.as_f64().unwrap())
        .collect();
    let told = &variants(folder.path())[&best.parse().unwrap()][7..];
    for (level, told) in levels.iter().zip(told) {
        assert!((level - f64::from(f32::from_bits(*told as u32))).abs() < 1e-3, "{level}");
    }
    assert_eq!(levels.len(), told.len());

    study(folder.path(), &["export", "my.toml"]);
    let table = fs::read_to_string(folder.path().join("my-study/variants.csv")).unwrap();
    assert_eq!(table.lines().count(), 61);
    assert!(
        table.starts_with(
            "variant,across [%],up [%],thickness [mm],unevenness at the seats [dB],sensitivity [dB],cost"
        ),
        "{table}"
    );
}

#[test]
fn the_same_bits_with_one_worker_or_two_and_in_one_part_or_eight() {
    let alone = place(CASE);
    assert_eq!(study(alone.path(), &["run", "my.toml", "--workers", "1"]).code, Some(0));
    let expected = variants(alone.path());
    assert_eq!(expected.len(), 60);

    let together = place(CASE);
    assert_eq!(study(together.path(), &["run", "my.toml", "--workers", "2", "--keep", "0"]).code, Some(0));
    assert!(variants(together.path()) == expected);

    let parts = place(CASE);
    for part in [8, 3, 1, 2, 7, 5, 4, 6] {
        let ran = study(parts.path(), &["run", "my.toml", "--shard", &format!("{part}/8"), "--workers", "1"]);
        assert_eq!(ran.code, Some(0), "{}", ran.err);
    }
    assert!(variants(parts.path()) == expected);
    assert_eq!(finished(parts.path())["finished"], 60);
    // The whole finds nothing left to do.
    assert!(study(parts.path(), &["run", "my.toml"]).out.contains("All 60 variants are finished."));

    let other = place(&CASE.replace("seed = 5", "seed = 6"));
    assert_eq!(study(other.path(), &["run", "my.toml"]).code, Some(0));
    assert!(variants(other.path()) != expected);
}

/// Numbers between 0 and 1 that look like chance.
fn chance(step: u64) -> f64 {
    let mixed = (step.wrapping_add(1)).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    ((mixed ^ (mixed >> 29)) >> 40) as f64 / (1u64 << 24) as f64
}

#[test]
fn killed_at_two_hundred_random_moments_it_loses_and_doubles_nothing() {
    // Three panels have too few variants each for it to pay to know them whole: the first is finished soon, and most kills meet some.
    let case = CASE
        .replace("[\"3 mm\", \"4 mm\"]", "[\"3 mm\", \"3.5 mm\", \"4 mm\"]")
        .replace("prices = [10, 13]", "prices = [10, 12, 13]");
    assert_ne!(case, CASE);
    let calm = place(&case);
    assert_eq!(study(calm.path(), &["run", "my.toml"]).code, Some(0));
    let expected = variants(calm.path());

    // Two at a time, each in a place of its own: most of the time is waiting.
    let advanced: u64 = thread::scope(|scope| {
        let halves = [0, 1].map(|half| {
            let (case, expected) = (&case, &expected);
            scope.spawn(move || killed(case, expected, (100, 10_000 * half)))
        });
        halves.into_iter().map(|half| half.join().unwrap()).sum()
    });
    assert!(advanced > 20, "the kills met work: {advanced} steps forward");
}

/// Kills runs of a case so many times, at moments that follow from where their numbers begin; how many of them had gone on.
fn killed(case: &str, expected: &Bits, (kills, first): (usize, u64)) -> u64 {
    let folder = place(case);
    let (mut before, mut advanced, mut killed) = (0, 0, 0);
    for step in first.. {
        if killed == kills {
            break;
        }
        let mut child = program(folder.path(), &["study", "run", "my.toml"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Most moments lie in the first second, where the case is looked at, journals, locks and results files are opened and written.
        sleep(Duration::from_secs_f64(0.02 + 0.8 * chance(step)));
        killed += usize::from(child.try_wait().unwrap().is_none());
        child.kill().unwrap();
        child.wait().unwrap();
        let results = folder.path().join("my-study/shard-1-of-1.h5");
        if results.exists() {
            let file = File::open(&results).expect("always whole");
            let rows = file.dataset("variant").unwrap().shape()[0];
            assert_eq!(file.dataset("levels").unwrap().shape()[0], rows);
        }
        if !folder.path().join("my-study/study.json").exists() {
            continue;
        }
        let now = finished(folder.path())["finished"].as_u64().unwrap();
        assert!(now >= before, "{now} after {before}");
        advanced += u64::from(now > before);
        before = now;
        if now == 60 {
            // Begun again, so that every one of the two hundred meets work.
            assert_eq!(study(folder.path(), &["run", "my.toml"]).code, Some(0));
            assert!(variants(folder.path()) == *expected, "after {killed} kills");
            fs::remove_dir_all(folder.path().join("my-study")).unwrap();
            before = 0;
        }
    }
    assert_eq!(study(folder.path(), &["run", "my.toml"]).code, Some(0));
    assert!(variants(folder.path()) == *expected);
    advanced
}

#[test]
fn another_case_is_refused_with_what_differs_and_begun_anew_on_request() {
    let folder = place(CASE);
    assert_eq!(study(folder.path(), &["run", "my.toml"]).code, Some(0));
    // Weights are a matter of ranking.
    fs::write(
        folder.path().join("my.toml"),
        CASE.replace("weight = 0.5", "weight = 2").replace("Small study", "Other"),
    )
    .unwrap();
    assert!(study(folder.path(), &["run", "my.toml"]).out.contains("All 60 variants are finished."));
    fs::write(folder.path().join("my.toml"), CASE.replace("\"240 mm\"", "\"250 mm\"")).unwrap();
    for command in ["run", "rank", "status"] {
        let refused = study(folder.path(), &[command, "my.toml"]);
        let told = flat(&refused.err);
        assert_eq!(refused.code, Some(1));
        assert!(told.contains("`panel.height` was \"240 mm\", it is \"250 mm\""), "{told}");
    }
    let anew = study(folder.path(), &["run", "my.toml", "--anew"]);
    assert_eq!(anew.code, Some(0), "{}", anew.err);
    assert!(folder.path().join("my-study-1/study.json").exists());
    assert_eq!(finished(folder.path())["finished"], 60);
}

#[test]
fn a_second_process_is_told_that_there_is_a_first() {
    let folder = place(&CASE.replace("variants = 60", "variants = 5000"));
    let mut first =
        program(folder.path(), &["study", "run", "my.toml"]).stderr(Stdio::null()).spawn().unwrap();
    let begun = || folder.path().join("my-study/shard-1-of-1.journal").exists();
    for _ in 0..200 {
        if begun() {
            break;
        }
        sleep(Duration::from_millis(50));
    }
    let second = study(folder.path(), &["run", "my.toml"]);
    let state = finished(folder.path());
    // SAFETY: none needed; the signal goes through the system's own program.
    let asked = Command::new("kill").args(["-INT", &first.id().to_string()]).status().unwrap();
    let ended = first.wait().unwrap();
    assert!(asked.success());
    assert_eq!(second.code, Some(1));
    assert!(flat(&second.err).contains("another process computes this study already"), "{}", second.err);
    assert_eq!(state["running"], 1);
    // Ctrl-C ended it in good order: what is told as finished is in the results file.
    assert!(ended.success());
    let stopped = finished(folder.path());
    assert_eq!(stopped["finished"].as_u64().unwrap(), variants(folder.path()).len() as u64);
    assert!(stopped["finished"].as_u64().unwrap() < 5000 && stopped["running"] == 0);
}

#[cfg(unix)]
#[test]
fn no_room_is_a_clear_message_and_loses_nothing() {
    let folder = place(&CASE.replace("variants = 60", "variants = 400"));
    let program = program(folder.path(), &[]);
    let binary = program.get_program().to_string_lossy().into_owned();
    // No file may grow beyond 40 blocks of 1024 bytes: a full disk, as far as the program can tell.
    let limited = format!("trap '' XFSZ; ulimit -f 40; exec '{binary}' study run my.toml");
    let full = Command::new("bash")
        .args(["-c", &limited])
        .current_dir(folder.path())
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    let told = flat(&String::from_utf8_lossy(&full.stderr));
    assert_eq!(full.status.code(), Some(1), "{told}");
    assert!(told.contains("Free some space") || told.contains("safe in the journal"), "{told}");
    let kept = finished(folder.path())["finished"].as_u64().unwrap();
    assert!(kept > 10 && kept < 400, "{kept}");
    let ran = study(folder.path(), &["run", "my.toml"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.err.contains(&format!("{kept} are finished, {} to go", 400 - kept)), "{}", ran.err);
    assert_eq!(variants(folder.path()).len(), 400);
}

#[test]
fn a_variant_that_fails_is_told_and_the_others_are_computed() {
    let off = CASE.replace(
        "to = \"85 %\"\n\n[[study.vary]]\nname = \"up\"",
        "to = \"120 %\"\n\n[[study.vary]]\nname = \"up\"",
    );
    let limit = "\n[[study.limit]]\nwhat = \"cost\"\nat_most = 12\n";
    let folder = place(&(off + limit));
    let ran = study(folder.path(), &["run", "my.toml"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let state = finished(folder.path());
    let count = |key: &str| state[key].as_u64().unwrap();
    assert!(count("failed") > 5 && count("computed") > 10 && count("beyond_a_limit") > 10, "{state}");
    assert_eq!(count("failed") + count("computed") + count("beyond_a_limit"), 60);
    let status = flat(&study(folder.path(), &["status", "my.toml"]).out);
    assert!(status.contains("cost 13 is more than 12") && status.contains("Not computed"), "{status}");
}

#[test]
fn mistakes_of_a_study_stand_in_their_lines() {
    for (from, to, told) in [
        ("panel.thickness", "panel.thicknes", "did you mean `thickness`?"),
        ("exciter.one.position", "exciter.two.position", "there are \"one\""),
        ("list = [\"3 mm\", \"4 mm\"]", "list = [\"3 mm\", \"4 kg\"]", "\"kg\" is a unit of a mass"),
        ("prices = [10, 13]", "prices = [10]", "needs one price"),
        ("panel.thickness", "study.seed", "`study` cannot be varied: it describes the study itself"),
        ("panel.thickness", "range.from", "variants are compared at the same frequencies"),
        ("to = \"85 %\"", "to = \"850 mm\"", "write both with the same unit: %"),
        ("from = \"15 %\"", "from = \"95 %\"", "`to` is more than `from`"),
        ("what = \"sensitivity\"", "what = \"unevenness of the sum\"", "the case has no driver"),
        ("variants = 60", "method = \"grid\"", "no `levels`"),
        ("from = \"150 Hz\"", "from = \"150 Hz\"\nto = \"100 Hz\"", "the band is empty"),
    ] {
        assert!(CASE.contains(from), "{from}");
        let folder = place(&CASE.replacen(from, to, 1));
        let ran = study(folder.path(), &["run", "my.toml"]);
        let shown = flat(&ran.err);
        assert_eq!(ran.code, Some(1), "{to}: {shown}");
        assert!(shown.contains(told), "{to}: {shown}");
        assert!(!folder.path().join("my-study").exists(), "{to}");
        let checked = run(folder.path(), &["check", "my.toml"]);
        assert!(checked.code == Some(1) && flat(&checked.err).contains(told), "{to}: {}", checked.err);
    }
    let sound = place(CASE);
    assert_eq!(run(sound.path(), &["check", "my.toml"]).code, Some(0));
}
