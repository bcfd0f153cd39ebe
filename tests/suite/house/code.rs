//! Source files as the compiler sees them: the paths that a file names, without its tests.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use proc_macro2::{TokenStream, TokenTree};
use syn::visit::{self, Visit};
use syn::{Attribute, ImplItem, Item, LitStr, Macro, UseTree};

/// A source file's place in the crate, and what its code names.
pub struct SourceFile {
    /// From `src`, with `/` between folders.
    pub path: String,
    /// The room it is part of; the file's own name for files of the top folder.
    pub room: String,
    /// Every path that is named, segment by segment. `crate`, `super` and `self` are resolved; names that a `use`
    /// brought in are replaced by their full paths.
    pub paths: Vec<Vec<String>>,
    /// Every method that is called by name, on any value.
    pub methods: Vec<String>,
    /// Every string literal.
    pub strings: Vec<String>,
}

/// All files below `src`, read once a run.
pub fn all() -> &'static [SourceFile] {
    static FILES: LazyLock<Vec<SourceFile>> = LazyLock::new(read_all);
    &FILES
}

fn read_all() -> Vec<SourceFile> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    files_under(&root, &mut found);
    let files = found.iter().map(|file| {
        let text = fs::read_to_string(file).unwrap();
        let within = file.strip_prefix(&root).unwrap();
        let parts: Vec<&str> = within.iter().map(|part| part.to_str().unwrap()).collect();
        read(&parts.join("/"), &text)
    });
    files.collect()
}

fn files_under(folder: &Path, into: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files_under(&path, into);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            into.push(path);
        }
    }
}

/// Reads the text of a file that lies at a path below `src`.
pub fn read(path: &str, text: &str) -> SourceFile {
    let parsed = syn::parse_file(text).unwrap_or_else(|error| panic!("{path}: {error}"));
    let mut reader = Reader { module: module_of(path), ..Reader::default() };
    if !is_for_tests(&parsed.attrs) {
        reader.visit_file(&parsed);
    }
    let room = path.split('/').next().unwrap().trim_end_matches(".rs").to_owned();
    let paths = reader.resolved();
    SourceFile { path: path.to_owned(), room, paths, methods: reader.methods, strings: reader.strings }
}

/// The module that a file is: `figures/sag.rs` is `figures::sag`, `figures/mod.rs` is `figures`.
fn module_of(path: &str) -> Vec<String> {
    let mut module: Vec<String> = path.trim_end_matches(".rs").split('/').map(str::to_owned).collect();
    if module.last().is_some_and(|last| last == "mod" || last == "lib" || last == "main") {
        module.pop();
    }
    module
}

/// Whether an item is compiled for tests alone.
fn is_for_tests(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        attribute.path().is_ident("test")
            || (attribute.path().is_ident("cfg")
                && attribute.parse_args::<syn::Path>().is_ok_and(|path| path.is_ident("test")))
    })
}

#[derive(Default)]
struct Reader {
    module: Vec<String>,
    /// The full path of each name that a `use` brought in.
    brought: Vec<(String, Vec<String>)>,
    paths: Vec<Vec<String>>,
    methods: Vec<String>,
    strings: Vec<String>,
}

impl Reader {
    /// A path from the crate's top: `super::a` in `figures::sag` is `crate::figures::a`.
    fn seen_from_the_top(&self, path: &[String]) -> Vec<String> {
        let mut module = self.module.clone();
        let mut rest = path;
        let mut is_relative = false;
        while let Some(first) = rest.first() {
            match first.as_str() {
                "super" => drop(module.pop()),
                "self" => {}
                _ => break,
            }
            is_relative = true;
            rest = &rest[1..];
        }
        if !is_relative {
            return path.to_vec();
        }
        let top = std::iter::once("crate".to_owned());
        top.chain(module).chain(rest.iter().cloned()).collect()
    }

    /// The named paths, with the names that a `use` brought in written in full.
    fn resolved(&self) -> Vec<Vec<String>> {
        let written = self.paths.iter().map(|path| {
            let brought = self.brought.iter().find(|(name, _)| Some(name) == path.first());
            match brought {
                Some((_, whole)) => whole.iter().chain(&path[1..]).cloned().collect(),
                None => path.clone(),
            }
        });
        written.chain(self.brought.iter().map(|(_, whole)| whole.clone())).collect()
    }

    fn bring(&mut self, before: &[String], tree: &UseTree) {
        let with = |name: &syn::Ident| {
            let name = name.to_string();
            if name == "self" && !before.is_empty() { before.to_vec() } else { [before, &[name]].concat() }
        };
        match tree {
            UseTree::Path(path) => self.bring(&with(&path.ident), &path.tree),
            UseTree::Group(group) => group.items.iter().for_each(|tree| self.bring(before, tree)),
            UseTree::Name(name) => {
                let whole = with(&name.ident);
                let known_as = whole.last().unwrap().clone();
                self.brought.push((known_as, self.seen_from_the_top(&whole)));
            }
            UseTree::Rename(rename) => {
                self.brought.push((rename.rename.to_string(), self.seen_from_the_top(&with(&rename.ident))));
            }
            UseTree::Glob(_) => self.brought.push(("*".to_owned(), self.seen_from_the_top(before))),
        }
    }

    /// A macro's input is not parsed yet: its paths are looked for word by word.
    fn tokens(&mut self, tokens: TokenStream) {
        let mut path: Vec<String> = Vec::new();
        let mut colons = 0;
        for token in tokens {
            match token {
                TokenTree::Ident(word) => {
                    if colons != 2 {
                        self.name(std::mem::take(&mut path));
                    }
                    path.push(word.to_string());
                    colons = 0;
                }
                TokenTree::Punct(point) if point.as_char() == ':' => colons += 1,
                other => {
                    self.name(std::mem::take(&mut path));
                    colons = 0;
                    match other {
                        TokenTree::Group(group) => self.tokens(group.stream()),
                        TokenTree::Literal(literal) => {
                            if let Ok(text) = syn::parse_str::<LitStr>(&literal.to_string()) {
                                self.strings.push(text.value());
                            }
                        }
                        _ => {}
                    }
                }
            }
        }
        self.name(path);
    }

    fn name(&mut self, path: Vec<String>) {
        // A word of a `macro_rules!` pattern has no meaning by itself.
        if path.first().is_some_and(|first| first != "$crate") {
            let path = self.seen_from_the_top(&path);
            self.paths.push(path);
        }
    }
}

impl<'ast> Visit<'ast> for Reader {
    fn visit_item(&mut self, item: &'ast Item) {
        let attributes: &[Attribute] = match item {
            Item::Mod(it) => &it.attrs,
            Item::Fn(it) => &it.attrs,
            Item::Impl(it) => &it.attrs,
            Item::Use(it) => &it.attrs,
            Item::Const(it) => &it.attrs,
            Item::Static(it) => &it.attrs,
            Item::Struct(it) => &it.attrs,
            Item::Enum(it) => &it.attrs,
            _ => &[],
        };
        if !is_for_tests(attributes) {
            visit::visit_item(self, item);
        }
    }

    fn visit_impl_item(&mut self, item: &'ast ImplItem) {
        let is_test = matches!(item, ImplItem::Fn(it) if is_for_tests(&it.attrs));
        if !is_test {
            visit::visit_impl_item(self, item);
        }
    }

    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        self.module.push(item.ident.to_string());
        visit::visit_item_mod(self, item);
        self.module.pop();
    }

    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.bring(&[], &item.tree);
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        self.name(path.segments.iter().map(|segment| segment.ident.to_string()).collect());
        visit::visit_path(self, path);
    }

    fn visit_expr_method_call(&mut self, call: &'ast syn::ExprMethodCall) {
        self.methods.push(call.method.to_string());
        visit::visit_expr_method_call(self, call);
    }

    fn visit_lit_str(&mut self, text: &'ast LitStr) {
        self.strings.push(text.value());
    }

    fn visit_attribute(&mut self, attribute: &'ast Attribute) {
        // Doc comments are attributes too; a name in them is not a use of it.
        if !attribute.path().is_ident("doc") {
            visit::visit_attribute(self, attribute);
        }
    }

    fn visit_macro(&mut self, it: &'ast Macro) {
        self.visit_path(&it.path);
        self.tokens(it.tokens.clone());
    }
}
