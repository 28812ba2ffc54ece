//! A cluster of one node on loopback for tests: munged, slurmctld and slurmd with files, ports and key of their own.
#![allow(clippy::unwrap_used, clippy::missing_panics_doc)] // a test fails by panicking

use std::fs;
use std::net::TcpListener;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// A running cluster; its daemons end with it, whatever happens.
pub struct TestCluster {
    place: tempfile::TempDir,
    daemons: Vec<Child>,
}

/// Where Debian has a program, whatever the search path.
fn found(program: &str) -> PathBuf {
    let places = ["/usr/sbin", "/usr/bin", "/sbin", "/bin"].map(|folder| Path::new(folder).join(program));
    places.into_iter().find(|path| path.exists()).unwrap_or_else(|| {
        panic!("{program} is missing: install Slurm and MUNGE (Debian: slurm-wlm, munge; `.ci/install test` does it)")
    })
}

/// A port that nobody uses now.
fn free_port() -> u16 {
    TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

fn said(program: &str, argument: &str) -> String {
    let asked = Command::new(program).arg(argument).output().unwrap();
    String::from_utf8_lossy(&asked.stdout).trim().to_owned()
}

impl TestCluster {
    /// Starts the cluster; it takes two tasks of one core each at a time.
    pub fn start() -> Self {
        let mut cluster = Self { place: tempfile::tempdir().unwrap(), daemons: vec![] };
        for program in ["sbatch", "squeue", "scancel", "sinfo"] {
            found(program);
        }
        // The user's processes reach the socket of munged through this folder.
        fs::set_permissions(cluster.place.path(), fs::Permissions::from_mode(0o755)).unwrap();
        cluster.configure();
        cluster.munge();
        let config = cluster.at("slurm.conf");
        cluster.daemon("slurmctld", &["-D", "-f", &config]);
        cluster.daemon("slurmd", &["-D", "-f", &config, "-N", "node"]);
        cluster.wait("the node to be idle", Duration::from_secs(30), |cluster| {
            cluster.ask("sinfo", &["--noheader", "--format=%T"]).trim() == "idle"
        });
        cluster
    }

    fn at(&self, name: &str) -> String {
        self.place.path().join(name).display().to_string()
    }

    fn configure(&self) {
        let (control, node) = (free_port(), free_port());
        let (user, name, place) = (said("id", "-un"), said("uname", "-n"), self.place.path().display());
        let host = name.split('.').next().unwrap_or_default();
        for name in ["state", "spool"] {
            fs::create_dir(self.at(name)).unwrap();
        }
        let config = format!(
            "ClusterName=test\nSlurmctldHost={host}(127.0.0.1)\nSlurmUser={user}\nSlurmdUser={user}\n\
             AuthType=auth/munge\nAuthInfo=socket={place}/munge.socket\nCredType=cred/munge\n\
             SlurmctldPort={control}\nSlurmctldPidFile={place}/slurmctld.pid\nSlurmdPidFile={place}/slurmd.pid\n\
             SlurmctldLogFile={place}/slurmctld.log\nSlurmdLogFile={place}/slurmd.log\n\
             StateSaveLocation={place}/state\nSlurmdSpoolDir={place}/spool\n\
             ProctrackType=proctrack/linuxproc\nTaskPlugin=task/none\nJobAcctGatherType=jobacct_gather/none\n\
             AccountingStorageType=accounting_storage/none\nMpiDefault=none\nReturnToService=2\n\
             SelectType=select/cons_tres\nSelectTypeParameters=CR_Core\nSchedulerType=sched/builtin\n\
             SchedulerParameters=batch_sched_delay=0,sched_min_interval=0,sched_interval=1\nKillWait=2\n\
             NodeName=node NodeHostname={host} NodeAddr=127.0.0.1 Port={node} CPUs=2 RealMemory=4000 State=UNKNOWN\n\
             PartitionName=test Nodes=node Default=YES MaxTime=INFINITE State=UP OverSubscribe=NO\n"
        );
        fs::write(self.at("slurm.conf"), config).unwrap();
        fs::write(self.at("cgroup.conf"), "CgroupAutomount=no\n").unwrap();
    }

    /// Starts munged with a key of its own, and waits for its socket.
    fn munge(&mut self) {
        let key: Vec<u8> = (0..1024u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
        fs::write(self.at("munge.key"), key).unwrap();
        fs::set_permissions(self.at("munge.key"), fs::Permissions::from_mode(0o600)).unwrap();
        let file = |option: &str, name: &str| format!("--{option}={}", self.at(name));
        let files = [
            file("key-file", "munge.key"),
            file("socket", "munge.socket"),
            file("pid-file", "munge.pid"),
            file("log-file", "munge.log"),
            file("seed-file", "munge.seed"),
        ];
        let arguments: Vec<&str> =
            ["--foreground", "--force"].into_iter().chain(files.iter().map(String::as_str)).collect();
        self.daemon("munged", &arguments);
        self.wait("munged", Duration::from_secs(10), |cluster| {
            Path::new(&cluster.at("munge.socket")).exists()
        });
    }

    fn daemon(&mut self, program: &str, arguments: &[&str]) {
        let log = fs::File::create(self.at(&format!("{program}.out"))).unwrap();
        // A test that is killed takes its daemons with it.
        let mut command = Command::new(found("setpriv"));
        command
            .arg("--pdeathsig=KILL")
            .arg(found(program))
            .args(arguments)
            .env("SLURM_CONF", self.at("slurm.conf"))
            .stdin(Stdio::null());
        command.stdout(log.try_clone().unwrap()).stderr(log);
        self.daemons.push(command.spawn().unwrap());
    }

    /// What Slurm's own commands need to know to find this cluster.
    pub fn environment(&self) -> (&'static str, String) {
        ("SLURM_CONF", self.at("slurm.conf"))
    }

    /// What one of Slurm's commands says.
    pub fn ask(&self, program: &str, arguments: &[&str]) -> String {
        let asked = Command::new(found(program)).args(arguments).envs([self.environment()]).output().unwrap();
        String::from_utf8_lossy(&asked.stdout).into_owned()
    }

    /// Waits until something is so.
    pub fn wait(&self, what: &str, at_most: Duration, is_so: impl Fn(&Self) -> bool) {
        let begun = Instant::now();
        while !is_so(self) {
            assert!(begun.elapsed() < at_most, "waited in vain for {what}\n{}", self.logs());
            sleep(Duration::from_millis(100));
        }
    }

    /// Waits until the queue is empty.
    pub fn wait_for_the_queue(&self) {
        self.wait("the queue to be empty", Duration::from_secs(60), |cluster| {
            cluster.ask("squeue", &["--noheader"]).trim().is_empty()
        });
    }

    /// What the daemons said last.
    fn logs(&self) -> String {
        let tail = |name: &str| {
            let text = fs::read_to_string(self.at(name)).unwrap_or_default();
            let lines: Vec<&str> = text.lines().collect();
            format!("--- {name}\n{}\n", lines[lines.len().saturating_sub(15)..].join("\n"))
        };
        ["munged.out", "slurmctld.out", "slurmctld.log", "slurmd.out", "slurmd.log"].map(tail).concat()
    }
}

impl Drop for TestCluster {
    fn drop(&mut self) {
        // Tasks first: they outlive the daemon that started them. Then the daemons, the last started first.
        let stop = format!("{} --partition=test", found("scancel").display());
        let _ = Command::new("timeout").args(["5", "sh", "-c", &stop]).envs([self.environment()]).output();
        for _ in 0..40 {
            if self.ask("squeue", &["--noheader"]).trim().is_empty() {
                break;
            }
            sleep(Duration::from_millis(100));
        }
        for daemon in self.daemons.iter_mut().rev() {
            let _ = daemon.kill();
            let _ = daemon.wait();
        }
    }
}
