//! Prints what Rust makes of every vector of the files named, one SI value a line, to be compared bit for bit: vectors FILE...

use std::process::ExitCode;

fn main() -> ExitCode {
    for path in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&path).unwrap_or_default();
        let Ok(vectors) = swept_tests::read(&text) else {
            eprintln!("{path} is not a list of vectors");
            return ExitCode::FAILURE;
        };
        for vector in vectors {
            match vector.run() {
                Ok(Some(value)) => println!("{:016x}", value.to_bits()),
                other => {
                    eprintln!("{}: {other:?}", vector.function);
                    return ExitCode::FAILURE;
                }
            }
        }
    }
    ExitCode::SUCCESS
}
