//! The invariants a machine can see, each a function from a text to its faults, and each with a bad
//! text that it must catch.

/// Which crates of ours a crate may name in its manifest; `None` for a crate nobody has placed yet.
/// Arrows run one way: app -> demo -> desk -> sheets, store, recording -> core; tests see all.
fn may_use(package: &str) -> Option<&'static [&'static str]> {
    Some(match package {
        "pacewright-core" => &[],
        "pacewright-recording" | "pacewright-store" | "pacewright-sheets" => &["pacewright-core"],
        "pacewright-desk" => {
            &["pacewright-core", "pacewright-recording", "pacewright-store", "pacewright-sheets"]
        }
        // the demo's runs are written as files, and come in by the desk like anyone's
        "pacewright-demo" => &["pacewright-core", "pacewright-recording", "pacewright-desk"],
        // the window paints the drawings of sheets; what is stored it sees through desk alone
        "pacewright" => {
            &["pacewright-core", "pacewright-sheets", "pacewright-desk", "pacewright-demo"]
        }
        "pacewright-tests" => &[
            "pacewright-core",
            "pacewright-recording",
            "pacewright-store",
            "pacewright-sheets",
            "pacewright-desk",
            "pacewright-demo",
        ],
        _ => return None,
    })
}

/// Libraries that draw or lay out: core knows none of them.
const DRAWING: [&str; 3] = ["iced", "typst", "plotters"];

/// What a manifest may not say: an arrow upwards, a library where it does not belong, a path to
/// another crate beside the workspace's own list.
pub(crate) fn manifest(text: &str) -> Vec<String> {
    let package = value_of(text, "name").unwrap_or_default();
    let Some(allowed) = may_use(package) else {
        return vec![format!("{package} has no place among the arrows yet: give it one here")];
    };
    let mut faults = Vec::new();
    for line in dependency_lines(text) {
        for name in names_in(line).filter(|name| name.starts_with("pacewright")) {
            if !allowed.contains(&name) {
                faults.push(format!("{package} must not use {name}"));
            }
        }
        if line.contains("path =") || line.contains("path=") {
            faults.push(format!("{package} names a path ({line}): list it in the root instead"));
        }
        let first = names_in(line).next().unwrap_or_default();
        if first == "rusqlite" && !matches!(package, "pacewright-store" | "pacewright-tests") {
            faults.push(format!("{package} must not use {first}: only the store has SQL"));
        }
        if package == "pacewright-core" && DRAWING.iter().any(|other| first.starts_with(other)) {
            faults.push(format!("{package} must not use {first}: core draws nothing"));
        }
    }
    faults
}

/// The value of the first `key = "value"` line.
fn value_of<'a>(text: &'a str, key: &str) -> Option<&'a str> {
    text.lines().find_map(|line| {
        let (name, value) = line.split_once('=')?;
        (name.trim() == key).then(|| value.trim().trim_matches('"'))
    })
}

/// The lines of every section of dependencies, and the headers that carry one's name.
fn dependency_lines(text: &str) -> impl Iterator<Item = &str> {
    let mut inside = false;
    text.lines().map(str::trim).filter_map(move |line| {
        if let Some(header) = line.strip_prefix('[') {
            let (_, after) = header.split_once("dependencies").unwrap_or((header, "none"));
            inside = after.starts_with(']');
            return after.strip_prefix('.');
        }
        (inside && !line.is_empty() && !line.starts_with('#')).then_some(line)
    })
}

/// Every name of a package that could stand in a line.
fn names_in(line: &str) -> impl Iterator<Item = &str> {
    line.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-' || c == '_'))
        .filter(|word| !word.is_empty())
}

/// SQL, or the library that speaks it.
pub(crate) fn sql(text: &str) -> Vec<String> {
    lines_with(text, |line| {
        let lower = line.to_lowercase();
        let after = |first: &str, then: &str| {
            lower.split_once(first).is_some_and(|(_, rest)| rest.contains(then))
        };
        lower.contains("rusqlite")
            || ["insert into", "delete from", "create table", "alter table", "pragma "]
                .iter()
                .any(|word| lower.contains(word))
            || after("select ", " from ")
            || after("update ", " set ")
    })
}

/// A clock: only the app asks the machine for the time.
pub(crate) fn clock(text: &str) -> Vec<String> {
    lines_with(text, |line| {
        ["Utc::now", "Local::now", "SystemTime::now", "Instant::now"]
            .iter()
            .any(|clock| line.contains(clock))
    })
}

/// The world outside: files, network, processes, surroundings, threads.
pub(crate) fn outside_world(text: &str) -> Vec<String> {
    lines_with(text, |line| {
        ["fs", "net", "process", "env", "thread"]
            .iter()
            .any(|module| line.contains(&format!("std::{module}")))
    })
}

/// Libraries that draw or lay out.
pub(crate) fn drawing(text: &str) -> Vec<String> {
    lines_with(text, |line| {
        let mut words = line.split(|c: char| !(c.is_alphanumeric() || c == '_'));
        words.any(|word| DRAWING.contains(&word))
    })
}

/// Work left undone, tests that are not run.
pub(crate) fn undone(text: &str) -> Vec<String> {
    lines_with(text, |line| {
        ["todo!", "unimplemented!", "#[ignore"].iter().any(|word| line.contains(word))
    })
}

/// A path of one machine: what is right there is wrong everywhere else.
pub(crate) fn machine_path(text: &str) -> Vec<String> {
    const PLACES: [&str; 7] =
        ["/home/", "/root/", "/tmp/", "/var/tmp/", "/work/", "/Users/", "C:\\Users\\"];
    numbered(text)
        .filter(|(_, line)| {
            PLACES.iter().any(|place| {
                line.match_indices(place).any(|(at, _)| {
                    let before = line[..at].chars().next_back();
                    // part of a longer path or address is no place of its own
                    !before.is_some_and(|c| c.is_alphanumeric() || "./-_}".contains(c))
                })
            })
        })
        .map(|(number, line)| format!("line {number}: {}", line.trim()))
        .collect()
}

/// How long a file is allowed to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Length {
    /// As it should be.
    Fine,
    /// Split it when you next work on it.
    Long(usize),
    /// Split it now.
    TooLong(usize),
}

/// From 400 lines on a file is long, from 600 too long.
pub(crate) fn length(text: &str) -> Length {
    match text.lines().count() {
        lines if lines >= 600 => Length::TooLong(lines),
        lines if lines >= 400 => Length::Long(lines),
        _ => Length::Fine,
    }
}

/// Whether a module says first what it is.
pub(crate) fn says_what_it_is(text: &str) -> bool {
    text.lines().next().is_some_and(|line| line.len() > "//! ".len() && line.starts_with("//! "))
}

/// Whether something may stand at the top of the repository.
pub(crate) fn may_stand_at_the_top(name: &str) -> bool {
    const NAMES: [&str; 9] = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "crates",
        "assets",
        "migrations",
        "tests",
        "demo",
    ];
    NAMES.contains(&name) || name.starts_with("LICENSE") || name.starts_with('.')
}

/// The names of the variants of an enum without fields.
pub(crate) fn variants(text: &str, name: &str) -> Vec<String> {
    text.lines()
        .skip_while(|line| *line != format!("pub enum {name} {{"))
        .skip(1)
        .take_while(|line| *line != "}")
        .map(str::trim)
        .filter(|line| !line.starts_with("//") && !line.starts_with('#'))
        .map(|line| line.trim_end_matches(',').to_owned())
        .collect()
}

/// A name as scripts see it: `GpsJump` is `gps_jump`.
pub(crate) fn snake_case(name: &str) -> String {
    let mut snake = String::new();
    for (index, letter) in name.char_indices() {
        if letter.is_uppercase() && index > 0 {
            snake.push('_');
        }
        snake.extend(letter.to_lowercase());
    }
    snake
}

/// The numbered lines that hold a fault, comments left out.
fn lines_with(text: &str, is_fault: impl Fn(&str) -> bool) -> Vec<String> {
    numbered(text)
        .filter(|(_, line)| !line.trim_start().starts_with("//"))
        .filter(|(_, line)| is_fault(line))
        .map(|(number, line)| format!("line {number}: {}", line.trim()))
        .collect()
}

fn numbered(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines().enumerate().map(|(index, line)| (index + 1, line))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(package: &str, dependencies: &str) -> Vec<String> {
        manifest(&format!("[package]\nname = \"{package}\"\n{dependencies}"))
    }

    #[test]
    fn an_arrow_upwards_is_caught_in_every_way_to_write_it() {
        for line in [
            "[dependencies]\npacewright-store.workspace = true",
            "[dev-dependencies]\npacewright-store = { workspace = true }",
            "[build-dependencies]\npacewright-store.workspace = true",
            "[dependencies.pacewright-store]\nworkspace = true",
            "[target.'cfg(unix)'.dependencies]\npacewright-store.workspace = true",
            "[dependencies]\nother = { package = \"pacewright-store\", version = \"1\" }",
        ] {
            assert_eq!(of("pacewright-core", line).len(), 1, "{line}");
            assert_eq!(of("pacewright", line).len(), 1, "{line}");
            assert!(of("pacewright-desk", line).is_empty(), "{line}");
        }
        assert!(
            !of("pacewright-desk", "[dependencies]\npacewright-demo.workspace = true").is_empty()
        );
        assert!(!of("pacewright-new", "").is_empty(), "a crate without a place");
    }

    #[test]
    fn a_library_where_it_does_not_belong_is_caught() {
        assert!(!of("pacewright-desk", "[dependencies]\nrusqlite.workspace = true").is_empty());
        assert!(of("pacewright-store", "[dependencies]\nrusqlite.workspace = true").is_empty());
        assert!(!of("pacewright-core", "[dependencies]\ntypst-pdf.workspace = true").is_empty());
        assert!(of("pacewright-sheets", "[dependencies]\ntypst-pdf.workspace = true").is_empty());
        assert!(!of("pacewright-desk", "[dependencies]\nx = { path = \"../x\" }").is_empty());
        assert!(of("pacewright-tests", "[lib]\npath = \"lib.rs\"").is_empty());
    }

    #[test]
    fn sql_is_caught_and_plain_words_are_not() {
        for bad in [
            "use rusqlite::Connection;",
            "let text = \"SELECT id FROM test\";",
            "connection.execute(\"insert into test values (1)\")",
            "\"UPDATE test SET removed = 1\"",
            "\"PRAGMA user_version\"",
        ] {
            assert_eq!(sql(bad), [format!("line 1: {bad}")]);
        }
        assert!(sql("// SELECT this FROM that\nlet updated = selected_from(table);").is_empty());
    }

    #[test]
    fn clocks_the_outside_world_and_drawing_are_caught() {
        for bad in ["Utc::now()", "chrono::Local::now()", "SystemTime::now()", "Instant::now()"] {
            assert_eq!(clock(bad).len(), 1, "{bad}");
        }
        assert!(clock("/// Not Utc::now: the caller says.\nNow::noon_of(today)").is_empty());
        assert_eq!(outside_world("use std::fs;\nuse std::fmt;").len(), 1);
        assert_eq!(drawing("use iced::Color;\nlet noticed = typst_like;").len(), 1);
    }

    #[test]
    fn work_left_undone_is_caught() {
        let bad = "todo!()\nunimplemented!(\"later\")\n#[ignore = \"slow\"]\n// todo! in words";
        assert_eq!(undone(bad).len(), 3);
    }

    #[test]
    fn a_path_of_one_machine_is_caught_in_comments_too() {
        for bad in ["let path = \"/home/ann/library\";", "// see /work/shared", "C:\\Users\\ann"] {
            assert_eq!(machine_path(bad).len(), 1, "{bad}");
        }
        assert!(machine_path("../work/x https://host/tmp/x \"{root}/tmp/\" /usr/share").is_empty());
    }

    #[test]
    fn names_of_an_enum_are_found_as_scripts_see_them() {
        let text = "enum Other {\n    No,\n}\npub enum Code {\n    /// First.\n    GpsJump,\n    Heat,\n}\n";
        assert_eq!(variants(text, "Code"), ["GpsJump", "Heat"]);
        assert_eq!(snake_case("GpsJump"), "gps_jump");
    }

    #[test]
    fn length_first_line_and_top_level_can_fail() {
        assert_eq!(length(&"x\n".repeat(399)), Length::Fine);
        assert_eq!(length(&"x\n".repeat(400)), Length::Long(400));
        assert_eq!(length(&"x\n".repeat(600)), Length::TooLong(600));
        assert!(says_what_it_is("//! What a check says.\n"));
        assert!(!says_what_it_is("use std::fs;\n//! Too late.\n"));
        assert!(!says_what_it_is("//! \n"));
        assert!(may_stand_at_the_top("LICENSE-MIT") && may_stand_at_the_top(".ci"));
        assert!(!may_stand_at_the_top("src") && !may_stand_at_the_top("notes.md"));
    }
}
