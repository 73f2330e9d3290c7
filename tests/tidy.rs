//! The shape of the house: arrows between crates, who may speak SQL or read a clock, where files
//! stand and how long they are. What each rule catches is shown in `rules`.

mod rules;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use rules::Length;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("a folder above").to_owned()
}

/// Every file of the project, by its path from the top with forward slashes: what git knows, else
/// (no git, no repository) what lies there but for what git would leave out.
fn files() -> Vec<String> {
    let listed = Command::new("git").args(["ls-files", "-z"]).current_dir(root()).output();
    let text = listed.ok().filter(|o| o.status.success()).map(|o| o.stdout).unwrap_or_default();
    let text = String::from_utf8(text).expect("names in UTF-8");
    // a file that is removed but not yet committed is still listed
    let known = text.split('\0').filter(|name| !name.is_empty() && root().join(name).exists());
    let mut files: Vec<String> = known.map(str::to_owned).collect();
    if !files.iter().any(|file| file == "Cargo.toml") {
        files.clear();
        walk(&root(), "", &ignored(), &mut files);
    }
    assert!(files.len() > 100, "only {} files found: this test looks at nothing", files.len());
    files
}

/// The names `.gitignore` leaves out; a star stands for any ending or beginning.
fn ignored() -> Vec<String> {
    let text = fs::read_to_string(root().join(".gitignore")).unwrap_or_default();
    text.lines().map(|line| line.trim().trim_matches('/').to_owned()).collect()
}

fn walk(folder: &Path, prefix: &str, ignored: &[String], files: &mut Vec<String>) {
    for entry in fs::read_dir(folder).expect("a folder that can be listed") {
        let entry = entry.expect("an entry");
        let name = entry.file_name().to_string_lossy().into_owned();
        let leave_out = |pattern: &String| match pattern.split_once('*') {
            Some((start, end)) => name.starts_with(start) && name.ends_with(end),
            None => name == *pattern,
        };
        if name == ".git" || ignored.iter().any(leave_out) {
            continue;
        }
        let path = format!("{prefix}{name}");
        if entry.path().is_dir() {
            walk(&entry.path(), &format!("{path}/"), ignored, files);
        } else {
            files.push(path);
        }
    }
}

/// The text of a file; `None` for fonts and pictures.
fn text_of(file: &str) -> Option<String> {
    let bytes = fs::read(root().join(file)).expect("a file that can be read");
    String::from_utf8(bytes).ok().filter(|text| !text.contains('\0'))
}

fn ends_with(file: &str, extensions: &[&str]) -> bool {
    file.rsplit_once('.').is_some_and(|(_, extension)| extensions.contains(&extension))
}

/// The files that show what the rules catch.
fn is_tidy(file: &str) -> bool {
    file.starts_with("tests/tidy")
}

/// Asks one rule of some files and fails with all that is wrong, each fault with its place.
fn keep(what: &str, concerns: impl Fn(&str) -> bool, rule: impl Fn(&str) -> Vec<String>) {
    let concerned: Vec<String> = files().into_iter().filter(|file| concerns(file)).collect();
    assert!(!concerned.is_empty(), "{what}: no file is looked at");
    let faults: Vec<String> = concerned
        .iter()
        .filter_map(|file| Some((file, text_of(file)?)))
        .flat_map(|(file, text)| rule(&text).into_iter().map(move |f| format!("{file}: {f}")))
        .collect();
    assert!(faults.is_empty(), "{what}:\n{}", faults.join("\n"));
}

fn is_rust(file: &str) -> bool {
    ends_with(file, &["rs"])
}

#[test]
fn arrows_between_crates_run_one_way() {
    let is_member = |file: &str| file.ends_with("/Cargo.toml");
    keep("arrows run one way", is_member, rules::manifest);
    let manifest = text_of("Cargo.toml").expect("text");
    for file in files().iter().filter(|file| is_member(file)) {
        let folder = file.trim_end_matches("/Cargo.toml");
        assert!(manifest.contains(&format!("\"{folder}\"")), "{folder} is no member");
    }
}

#[test]
fn only_the_store_speaks_sql() {
    let others = |file: &str| {
        is_rust(file) && !file.starts_with("crates/store/") && !file.starts_with("tests/")
    };
    keep("only crates/store has SQL", others, rules::sql);
}

#[test]
fn only_the_app_and_the_desk_may_read_a_clock() {
    let others = |file: &str| {
        let may = ["crates/app/", "crates/desk/", "tests/benches/"];
        is_rust(file) && !is_tidy(file) && !may.iter().any(|folder| file.starts_with(folder))
    };
    // a reader that hangs on hostile bytes can only be caught with a stopwatch
    let stopwatch =
        |file: &str| !["crates/recording/src/hostile.rs", "tests/hostile.rs"].contains(&file);
    keep("today is a parameter", |file| others(file) && stopwatch(file), rules::clock);
}

#[test]
fn core_and_recording_are_pure() {
    let core = |file: &str| is_rust(file) && file.starts_with("crates/core/");
    keep("core draws nothing", core, rules::drawing);
    let pure = |file: &str| core(file) || is_rust(file) && file.starts_with("crates/recording/");
    keep("no input or output", pure, rules::outside_world);
}

#[test]
fn the_top_level_is_as_it_should_be() {
    let mut wrong: Vec<String> = files()
        .iter()
        .filter_map(|file| file.split('/').next())
        .filter(|name| !rules::may_stand_at_the_top(name))
        .map(str::to_owned)
        .collect();
    wrong.dedup();
    assert!(wrong.is_empty(), "these have no place at the top: {}", wrong.join(", "));
}

#[test]
fn files_stay_short_enough_to_read() {
    let mut too_long = Vec::new();
    for file in files().into_iter().filter(|file| ends_with(file, &["rs", "typ", "sql"])) {
        match rules::length(&text_of(&file).expect("text")) {
            Length::Fine => {}
            Length::Long(lines) => eprintln!("long: {file} has {lines} lines; split it soon"),
            Length::TooLong(lines) => too_long.push(format!("{file} has {lines} lines")),
        }
    }
    assert!(too_long.is_empty(), "600 lines are too long:\n{}", too_long.join("\n"));
}

#[test]
fn nothing_is_left_undone_or_left_out() {
    keep("finished or not there", |f| is_rust(f) && !is_tidy(f), rules::undone);
}

#[test]
fn every_module_says_what_it_is() {
    keep("a module starts with //! and a sentence", is_rust, |text| {
        let fault = || "its first line does not say what it is".to_owned();
        (!rules::says_what_it_is(text)).then(fault).into_iter().collect()
    });
}

#[test]
fn no_path_of_one_machine_stands_anywhere() {
    keep("no path of one machine", |file| !is_tidy(file), rules::machine_path);
}

/// The README's two commands are the ones that are run before a change is taken.
#[test]
fn the_readme_and_the_check_run_the_same_commands() {
    let (readme, check) = (text_of("README.md").expect("text"), text_of(".ci/run").expect("text"));
    for command in
        ["cargo test --release --workspace", "cargo run --release -- weekly --demo --out"]
    {
        assert!(readme.contains(command), "README.md does not say {command}");
        assert!(check.contains(command), ".ci/run does not run {command}");
    }
}

/// The names promised to scripts, and the modules a newcomer looks for, stand in DEVELOPERS.md.
#[test]
fn the_map_names_every_code_and_every_public_module() {
    let map = text_of("DEVELOPERS.md").expect("text");
    let remark = text_of("crates/core/src/remark.rs").expect("text");
    let codes = rules::variants(&remark, "Code");
    assert!(codes.len() > 30, "only {} codes found: this test looks at nothing", codes.len());
    let mut names: Vec<String> = codes.iter().map(|code| rules::snake_case(code)).collect();
    for file in ["crates/core/src/lib.rs", "crates/desk/src/lib.rs", "crates/sheets/src/lib.rs"] {
        let text = text_of(file).expect("text");
        let public = text.lines().filter_map(|line| line.strip_prefix("pub mod "));
        names.extend(public.map(|name| name.trim_end_matches(';').to_owned()));
    }
    names.retain(|name| !map.contains(&format!("`{name}`")));
    assert!(names.is_empty(), "DEVELOPERS.md does not name: {}", names.join(", "));
}
