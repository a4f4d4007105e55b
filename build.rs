//! Gives the Windows program its icon and its name.

fn main() {
    println!("cargo:rerun-if-changed=assets/sparkloft.ico");
    #[cfg(windows)]
    if let Err(error) = winresource::WindowsResource::new().set_icon("assets/sparkloft.ico").compile() {
        println!("cargo:warning=the program gets no icon: {error}");
    }
}
