//! A build document to the JSON of its sheet: `cargo run -p swept --example sheet -- examples/inline_four.toml`.

use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(path) = std::env::args().nth(1) else {
        eprintln!("usage: sheet BUILD.toml");
        return ExitCode::from(2);
    };
    let sheet = std::fs::read_to_string(&path).map_err(|e| e.to_string()).and_then(|text| {
        swept::build::Build::parse(&text).and_then(|b| b.sheet()).map_err(|e| e.to_string())
    });
    match sheet {
        Ok(sheet) => {
            println!("{}", sheet.to_json());
            ExitCode::SUCCESS
        }
        Err(message) => {
            eprintln!("{path}: {message}");
            ExitCode::from(2)
        }
    }
}
