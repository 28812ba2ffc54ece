//! `panelwright study submit` against a real scheduler: a cluster of one node that the test starts for itself.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright_tests::cluster::TestCluster;
use panelwright_tests::studies::{finished, flat, place, study, variants, variants_of, well};
use panelwright_tests::{Ran, program};
use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

const CASE: &str = include_str!("data/small-study.toml");

fn submit(cluster: &TestCluster, folder: &Path, arguments: &[&str]) -> Ran {
    let arguments = [&["study", "submit", "my.toml"], arguments].concat();
    let ran = program(folder, &arguments).envs([cluster.environment()]).output().unwrap();
    Ran::from(ran)
}

/// The number of the job in what was told.
fn job(told: &str) -> String {
    let (_, rest) = told.split_once("as job ").unwrap_or_else(|| panic!("no job in {told}"));
    rest.chars().take_while(char::is_ascii_digit).collect()
}

/// Stops the process that computes this part, so that it neither ends nor goes on until it is woken.
fn stand_still(part: &str) {
    let is_it = |process: &std::path::PathBuf| {
        let words = fs::read(process.join("cmdline")).unwrap_or_default();
        String::from_utf8_lossy(&words).contains(&format!("--shard\0{part}\0"))
    };
    let processes = fs::read_dir("/proc").unwrap().flatten().map(|entry| entry.path());
    let process = processes.filter(is_it).last().unwrap_or_else(|| panic!("nobody computes part {part}"));
    let number = process.file_name().unwrap().to_string_lossy().into_owned();
    let stopped = Command::new("sh").args(["-c", &format!("kill -STOP {number}")]).status().unwrap();
    assert!(stopped.success(), "{number}");
}

#[test]
fn a_job_array_computes_every_variant_once_and_what_was_cancelled_is_submitted_again() {
    // Four parts of a second or more each: time enough to catch one amid its work.
    let case = CASE.replace("variants = 60", "variants = 1600").replace("per_octave = 6", "per_octave = 72");
    assert!(case.contains("= 1600") && case.contains("= 72"));
    let alone = place(&case);
    well(alone.path(), &["run", "my.toml"]);
    let expected = variants(alone.path());

    let cluster = TestCluster::start();
    let folder = place(&case);
    let here = folder.path();
    let first = submit(&cluster, here, &["--shards", "4", "--time", "10min"]);
    let told = flat(&first.out);
    assert_eq!(first.code, Some(0), "{}", first.err);
    assert!(told.contains("Submitted parts 1-4 of 4 as job "), "{told}");
    let array = job(&told);

    // One of the two that run first is cancelled amid its work.
    let begun =
        || fs::metadata(here.join("my-study/shard-2-of-4.journal")).is_ok_and(|file| file.len() > 2000);
    cluster.wait("part 2 to have finished something", Duration::from_secs(20), |_| begun());
    // It stands still until the scheduler ends it, however long that takes: before it tells a job to stop it wakes it.
    stand_still("2/4");
    cluster.ask("scancel", &[&format!("{array}_2")]);
    // Meanwhile the others are queued or running: nothing is submitted twice.
    let meanwhile = submit(&cluster, here, &["--shards", "5"]);
    assert_eq!(meanwhile.code, Some(1), "{}", meanwhile.out);
    assert!(flat(&meanwhile.err).contains("of 4 are still queued or running"), "{}", meanwhile.err);
    cluster.wait_for_the_queue();

    let state = finished(here);
    let there = state["finished"].as_u64().unwrap();
    assert!((1201..1600).contains(&there), "{there}: {}", log(here, 2));
    // The job that followed has gathered what there was.
    assert_eq!(variants_of(&here.join("my-study/gathered.h5")).len() as u64, there);

    let again = submit(&cluster, here, &[]);
    assert!(flat(&again.out).contains("Submitted parts 2 of 4 as job "), "{}{}", again.out, again.err);
    let twice = submit(&cluster, here, &[]);
    assert!(flat(&twice.out).contains("queued or running already"), "{}{}", twice.out, twice.err);
    cluster.wait_for_the_queue();

    let done = submit(&cluster, here, &[]);
    let told = flat(&done.out);
    assert!(
        told.contains("Nothing is left to submit. All 1,600 variants are gathered"),
        "{told}{}",
        done.err
    );
    assert!(variants_of(&here.join("my-study/gathered.h5")) == expected && expected.len() == 1600);
    let ranked = |folder: &Path| well(folder, &["rank", "my.toml", "--json"]).out;
    assert_eq!(ranked(here), ranked(alone.path()));
}

fn log(folder: &Path, part: usize) -> String {
    fs::read_to_string(folder.join(format!("my-study/log/shard-{part}-of-4.txt"))).unwrap_or_default()
}

#[test]
fn without_slurm_it_says_what_to_do_and_leaves_the_script() {
    let folder = place(CASE);
    let arguments = ["study", "submit", "my.toml", "--shards", "4"];
    let ran = Ran::from(program(folder.path(), &arguments).env("PATH", "").output().unwrap());
    let told = flat(&ran.err);
    assert_eq!(ran.code, Some(1), "{}", ran.out);
    assert!(told.contains("`sbatch` was not found") && told.contains("slurm-client"), "{told}");
    assert!(told.contains("--shard 1/4"), "{told}");
    let script = fs::read_to_string(folder.path().join("my-study/shards.sh")).unwrap();
    assert!(script.contains("#SBATCH --array=1-4\n"), "{script}");
    let memory = |script: &str| -> u64 {
        let (_, rest) = script.split_once("#SBATCH --mem=").unwrap_or_else(|| panic!("{script}"));
        rest.split_once('M').unwrap().0.parse().unwrap()
    };
    // What is kept for all takes up to a gigabyte; a worker on this little panel next to nothing.
    assert!((1200..2000).contains(&memory(&script)), "{script}");

    let looked = well(folder.path(), &["submit", "my.toml", "--shards", "3", "--workers", "2", "--dry-run"]);
    assert!(flat(&looked.out).contains("It would submit parts 1-3 of 3"), "{}", looked.out);
    let script = fs::read_to_string(folder.path().join("my-study/shards.sh")).unwrap();
    assert!(script.contains("--cpus-per-task=2") && script.contains("--workers 2"), "{script}");
    let unsaid = study(folder.path(), &["submit", "my.toml"]);
    assert!(unsaid.code == Some(1) && flat(&unsaid.err).contains("--shards 64"), "{}", unsaid.err);
}
