//! The shell: arguments, exit codes, and one function per command whose body is
//! load -> check -> compile -> simulate -> estimate -> report.

mod catalogue;
mod changes;
mod check;
mod count;
mod decide;
mod exit;
mod findings;
mod list;
mod list_json;
mod load;
mod merge;
mod new;
mod phase;
mod progress;
mod publish;
mod replay;
mod report;
mod run;
mod run_plan;
mod shard;
mod shell;
mod sweep;
mod sweep_plan;
mod sweep_shard;
mod voice;

pub use exit::Exit;

use crate::study::shard::Share;
use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;
use std::process::ExitCode;

/// Plays a surface campaign sortie by sortie and says what each way of getting crew out of and back
/// into a pressurised element costs and risks.
#[derive(Debug, Parser)]
#[command(name = "vestibule", version, after_help = exit::HELP)]
struct Cli {
    #[command(subcommand)]
    command: Command,
    #[command(flatten)]
    voice: voice::Voice,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Write a commented starter campaign, or a shipped one with its files, into a new folder
    New {
        /// Folder to make
        name: PathBuf,
        /// A shipped campaign with the whole catalogue: larkspur, ochre, teasel
        #[arg(long, value_name = "CAMPAIGN")]
        from: Option<String>,
    },
    /// Read and check a campaign: findings only, nothing is simulated
    #[command(after_help = exit::HELP)]
    Check {
        /// Campaign file
        campaign: PathBuf,
        /// Write verdict, findings and answers as JSON
        #[arg(long)]
        json: bool,
    },
    /// Play every architecture, paired, and write the results folder
    #[command(after_help = exit::HELP)]
    Run(RunArgs),
    /// Join shards to what one machine would have written; nothing is simulated
    #[command(after_help = exit::HELP)]
    Merge(MergeArgs),
    /// Tell one campaign as a story
    #[command(after_help = exit::HELP)]
    Replay(ReplayArgs),
    /// Play a campaign at every point of a design, and say what its factors do
    #[command(after_help = exit::HELP)]
    Sweep(SweepArgs),
    /// Make report.html, summary.xlsx, README.txt and datapackage.json again from a results folder
    #[command(after_help = exit::HELP)]
    Report {
        /// Results folder
        folder: PathBuf,
        /// Also show on the page what changed since this results folder
        #[arg(long, value_name = "OLD")]
        before: Option<PathBuf>,
    },
    /// Say what changed between two results folders of a campaign, and whether by more than chance
    #[command(after_help = exit::HELP)]
    Changes(ChangesArgs),
    /// List what a file can say and what is measured
    List {
        /// What to list; left out: what can be listed
        what: Option<list::What>,
        /// Print one of them whole: an access system by its name, or the schema of a kind of file
        #[arg(long, value_name = "NAME", requires = "what")]
        show: Option<String>,
        /// Write it as JSON
        #[arg(long, conflicts_with = "show", requires = "what")]
        json: bool,
    },
    /// Print the completions for a shell
    ///
    /// In bash: source <(vestibule completions bash); in other shells into the file that they read
    /// completions from.
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// Write manual pages into a folder
    Man {
        /// Folder
        folder: PathBuf,
    },
}

#[derive(Debug, Args)]
struct RunArgs {
    /// Campaign file
    campaign: PathBuf,
    /// Number of campaigns, for example 20000 or 2e4 (default: the file's)
    #[arg(long, value_parser = count::count)]
    campaigns: Option<u64>,
    /// Parameter sets of an outer loop, with --inner (default: the file's)
    #[arg(long, requires = "inner", conflicts_with = "campaigns")]
    #[arg(value_parser = clap::value_parser!(u64).range(2..))]
    outer: Option<u64>,
    /// Campaigns played with each parameter set
    #[arg(long, requires = "outer", value_parser = clap::value_parser!(u64).range(2..))]
    inner: Option<u64>,
    /// Seed (default: the file's)
    #[arg(long)]
    seed: Option<u64>,
    /// Threads (default: all); the results do not depend on it
    #[arg(long)]
    threads: Option<std::num::NonZero<usize>>,
    /// Results folder (default: results beside the campaign file; with --shard: shards)
    #[arg(long)]
    out: Option<PathBuf>,
    /// Campaigns, from the first, in which contributors and paths are traced; 0: none (default: 1000)
    #[arg(long)]
    drivers: Option<u64>,
    /// Play only part K of N, K from 0, and leave it as a file for `merge`; without contributors
    #[arg(long, value_name = "K/N", conflicts_with_all = ["gate", "keep_campaigns", "parquet", "json"])]
    shard: Option<Share>,
    /// Say what it would take: campaigns, hours, memory, size; nothing is written
    #[arg(long, conflicts_with_all = ["shard", "gate", "json"])]
    plan: bool,
    /// End with exit code 3 unless every limit of the file is met, and name those that are not
    #[arg(long)]
    gate: bool,
    /// Print the tables of the answer as JSON in place of the summary
    #[arg(long)]
    json: bool,
    /// Also write campaigns.csv, one row per architecture and campaign
    #[arg(long)]
    keep_campaigns: bool,
    /// Also write the long tables (distribution and, if kept, campaigns) as Parquet
    #[arg(long)]
    parquet: bool,
}

#[derive(Debug, Args)]
struct MergeArgs {
    /// Shard files, or folders of them
    #[arg(required = true, value_name = "SHARD")]
    shards: Vec<PathBuf>,
    /// Results folder
    #[arg(long, required_unless_present = "missing")]
    out: Option<PathBuf>,
    /// Only print which shards are missing, as the array of a job (`0-3,7`); nothing if all are
    #[arg(long)]
    missing: bool,
    /// Where the input file lies now (default: where it lay for the first shard)
    #[arg(long, value_name = "FILE")]
    input: Option<PathBuf>,
    /// End with exit code 3 unless every limit of the file is met
    #[arg(long, conflicts_with = "missing")]
    gate: bool,
    /// Also write the long tables as Parquet
    #[arg(long, conflicts_with = "missing")]
    parquet: bool,
}

#[derive(Debug, Args)]
struct ReplayArgs {
    /// Campaign file
    campaign: PathBuf,
    /// Architecture
    #[arg(long)]
    architecture: String,
    /// Number of the campaign, from 0
    #[arg(long = "campaign", id = "number")]
    number: u64,
    /// One sortie only, row by row (its number as in the story, from 1)
    #[arg(long)]
    sortie: Option<u32>,
    /// Take seed and options from the manifest of a results folder
    #[arg(long)]
    from: Option<PathBuf>,
    /// Seed (default: the file's)
    #[arg(long, conflicts_with = "from")]
    seed: Option<u64>,
    /// Write the story as JSON
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Args)]
struct ChangesArgs {
    /// Results folder before
    old: PathBuf,
    /// Results folder after
    new: PathBuf,
    /// Everything as JSON, also what did not move
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Args)]
struct SweepArgs {
    /// Sweep file
    sweep: PathBuf,
    /// Campaigns at every point (default: the file's)
    #[arg(long, value_parser = clap::value_parser!(u64).range(2..))]
    campaigns: Option<u64>,
    /// Threads (default: all); the results do not depend on it
    #[arg(long)]
    threads: Option<std::num::NonZero<usize>>,
    /// Results folder (default: results/NAME beside the sweep file NAME.toml; with --shard: shards/NAME)
    #[arg(long)]
    out: Option<PathBuf>,
    /// Play only part K of N, K from 0, and leave it as a file for `merge`
    #[arg(long, value_name = "K/N", conflicts_with = "plan")]
    shard: Option<Share>,
    /// Say what it would take: points, campaigns, hours, memory, size; nothing is written
    #[arg(long)]
    plan: bool,
}

/// Runs the program.
pub fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(e) => {
            let _ = e.print();
            let code = if e.use_stderr() { Exit::Usage } else { Exit::Done };
            return code.into();
        }
    };
    let voice = cli.voice;
    let exit = match cli.command {
        Command::New { name, from } => new::new(&name, from.as_deref()),
        Command::Check { campaign, json } => check::check(&campaign, json, voice),
        Command::Run(args) => run::run(&args, voice),
        Command::Merge(args) => merge::merge(&args, voice),
        Command::Replay(args) => replay::replay(&args, voice),
        Command::Sweep(args) => sweep::sweep(&args),
        Command::Report { folder, before } => report::report(&folder, before.as_deref()),
        Command::Changes(args) => changes::changes(&args),
        Command::List { what: None, .. } => list::all(),
        Command::List { what: Some(what), show, json } => {
            list::list(what, show.as_deref(), json, voice)
        }
        Command::Completions { shell } => shell::completions(shell),
        Command::Man { folder } => shell::man(&folder),
    };
    exit.into()
}
