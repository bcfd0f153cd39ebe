#!/usr/bin/env bash
# A sitting in Helix, as `neovim.lua` has one, by keys in a hidden terminal (tmux). Each step waits for words on the screen; where
# they do not come, the screen is printed and the exit status is 1. The server is set up by the lines of the project's README.
set -euo pipefail
home=$(mktemp -d)
screen=helix-$$
trap 'tmux -L "$screen" kill-server 2>/dev/null || true; rm -rf "$home"' EXIT
mkdir -p "$home/helix"
sed -n '/^Helix /,/^Emacs /p' "$README" | sed -n 's/^    //p; /^$/p' >"$home/helix/languages.toml"
grep -q loambook "$home/helix/languages.toml" || { echo "the README has no lines for Helix" >&2; exit 1; }
printf '[editor.lsp]\ndisplay-inlay-hints = true\n[editor]\nend-of-line-diagnostics = "hint"\n' >"$home/helix/config.toml"

look() { tmux -L "$screen" capture-pane -p; }
keys() { tmux -L "$screen" send-keys "$@"; sleep 0.4; }
# Waits until words are on the screen, or are gone (`! words`).
see() {
    local is_wanted=0
    if [ "$1" = ! ]; then is_wanted=1; shift; fi
    for _ in $(seq 100); do
        local is_there=0
        look | grep -qF -- "$1" || is_there=1
        [ $is_there = $is_wanted ] && return
        sleep 0.2
    done
    echo "on the screen: $*" >&2
    look >&2
    exit 1
}
# One letter at a time, as a person types.
type_in() { local i; for ((i = 0; i < ${#1}; i++)); do tmux -L "$screen" send-keys -l -- "${1:i:1}"; sleep 0.03; done; }

tmux -L "$screen" new-session -d -x 140 -y 45 "env XDG_CONFIG_HOME=$home XDG_CACHE_HOME=$home hx days/2026-04-11.md"
see "Dry,"
see "rear rider sag 105"                                  # a figure beside its block

# Typed in: letters of two and four bytes before the place that is wrong; and the fix.
keys '/It came' Enter; keys O; type_in 'é ± 9 °C 🏍 `@sag.rear.ridre` é'; keys Escape
see "there is no figure, reading or setting"
keys '/ridre' Enter; keys ' a'; see 'did you mean'; keys Enter
see '🏍 `@sag.rear.rider` é'
see ! "there is no figure"

keys '/rear.rid' Enter; keys ' k'; see "sag = hanging"; keys Escape      # hover on a figure
keys gg '/aboard' Enter; keys ' k'; see "Range: above zero"; keys Escape # and on a key
keys gg '/whin' Enter; keys gd; see 'kind = "machine"'; keys C-o         # definition
keys gg '/laps' Enter; keys O; type_in verd; see " property"              # completion
keys C-n Enter; type_in 'better'; keys Escape
see 'verdict = "better"'
keys ':format' Enter; see 'verdict = "better"'; see 'laps    = "2:04.1'
keys gg '/whin' Enter; keys ' r'; see "rename-to:"; keys C-u; type_in gorse; keys Enter
see 'machine = "gorse"'
keys ':write-all' Enter
for _ in $(seq 50); do [ -e machines/gorse.md ] && ! grep -q whin days/*.md && break; sleep 0.2; done
[ -e machines/gorse.md ] && ! grep -q whin days/*.md || { echo "the machine has its old name" >&2; exit 1; }
keys ':quit-all' Enter
for _ in $(seq 50); do tmux -L "$screen" has-session 2>/dev/null || break; sleep 0.2; done
echo done >&2
