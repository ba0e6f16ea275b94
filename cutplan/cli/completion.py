"""``cutplan completion``: shell completion for bash, zsh and fish."""

from __future__ import annotations

import argparse
from typing import Any

from cutplan.cli.show import said
from cutplan.texts import say


def add(commands: Any) -> None:
    """Add the command to the parser."""
    p = commands.add_parser(
        "completion",
        help=said(say("print shell completion for bash, zsh or fish")),
        description=said(say("Print a completion script. bash: cutplan completion bash >> ~/.bashrc")),
    )
    p.add_argument("shell", choices=("bash", "zsh", "fish"))
    p.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    print(script(args.shell), end="")
    return 0


def script(shell: str) -> str:
    """Return the completion script, made from the parser itself so that it never falls behind."""
    options = _options()
    if shell == "fish":
        lines = ["complete -c cutplan -f"]
        for command, (summary, flags) in options.items():
            lines.append(f"complete -c cutplan -n __fish_use_subcommand -a {command} -d '{summary}'")
            for flag in flags:
                lines.append(f"complete -c cutplan -n '__fish_seen_subcommand_from {command}' -F -l {flag.lstrip('-')}")
        return "\n".join(lines) + "\n"
    cases = "\n".join(f'    {c}) words="{" ".join(flags)}" ;;' for c, (_, flags) in options.items())
    body = (
        "_cutplan() {\n"
        '  local current="${COMP_WORDS[COMP_CWORD]}" words\n'
        '  case "${COMP_WORDS[1]}" in\n' + cases + "\n"
        f'    *) words="{" ".join(options)}" ;;\n'
        "  esac\n"
        '  if [ "$COMP_CWORD" -eq 1 ]; then words="' + " ".join(options) + '"; fi\n'
        '  COMPREPLY=( $(compgen -W "$words" -- "$current") )\n'
        "}\n"
        "complete -o default -o filenames -F _cutplan cutplan\n"
    )
    return body if shell == "bash" else "autoload -U +X bashcompinit && bashcompinit\n" + body


def _options() -> dict[str, tuple[str, list[str]]]:
    from cutplan.cli.main import parser

    out: dict[str, tuple[str, list[str]]] = {}
    for action in parser()._actions:
        if isinstance(action, argparse._SubParsersAction):
            summaries = {a.dest: a.help or "" for a in action._choices_actions}
            for name, sub in action.choices.items():
                flags = sorted(o for a in sub._actions for o in a.option_strings if o.startswith("--"))
                out[name] = (summaries.get(name, ""), flags)
    return out
