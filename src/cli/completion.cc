// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/completion.h"

#include <sstream>

#include "cli/completion_words.h"

namespace ohmglow::cli {
namespace {

constexpr const char* kHead =
    " completion for ohmglow, made from its option table when it is built.\n";

// How each shell writes a single quote inside single quotes.
constexpr const char* kPosixQuote = "'\\''";
constexpr const char* kFishQuote = "\\'";

std::string BashAction(const CompletionOption& option) {
  switch (option.kind) {
    case ValueKind::kFolder:
      return "_ohmglow_paths -d";
    case ValueKind::kFile:
      return "_ohmglow_paths -f";
    case ValueKind::kChoice:
      return "_ohmglow_words " + Quote(Joined(option.choices), kPosixQuote);
    case ValueKind::kNone:
    case ValueKind::kOther:
      break;
  }
  return ":";
}

void AddBashCommand(std::ostringstream& text, const Syntax& syntax) {
  std::vector<std::string> names;
  text << "    " << syntax.name << ")\n      case $previous in\n";
  for (const CompletionOption& option : CompletionOptions(syntax)) {
    names.push_back("--" + option.name);
    if (option.kind == ValueKind::kNone) continue;
    text << "        --" << option.name << ") " << BashAction(option) << "; return ;;\n";
  }
  const std::vector<std::string> topics = CompletionTopics(syntax);
  text << "      esac\n      if [[ $word == -* ]]; then\n        _ohmglow_words "
       << Quote(Joined(names), kPosixQuote) << "\n      else\n        "
       << (topics.empty() ? "_ohmglow_paths -f"
                          : "_ohmglow_words " + Quote(Joined(topics), kPosixQuote))
       << "\n      fi ;;\n";
}

// In zsh's specifications brackets, colons and backslashes have a meaning.
std::string ZshHelp(const std::string& help) {
  std::string text;
  for (const char c : help) {
    if (c == '[' || c == ']' || c == ':' || c == '\\') text += '\\';
    text += c;
  }
  return text;
}

std::string ZshAction(const CompletionOption& option) {
  switch (option.kind) {
    case ValueKind::kFolder:
      return ":folder:_files -/";
    case ValueKind::kFile:
      return ":file:_files";
    case ValueKind::kChoice:
      return ":value:(" + Joined(option.choices) + ")";
    case ValueKind::kOther:
      return ":value: ";
    case ValueKind::kNone:
      break;
  }
  return {};
}

void AddZshCommand(std::ostringstream& text, const Syntax& syntax) {
  text << "    " << syntax.name << ")\n      _arguments";
  for (const CompletionOption& option : CompletionOptions(syntax)) {
    const std::string spec =
        "--" + option.name + "[" + ZshHelp(option.help) + "]" + ZshAction(option);
    text << " \\\n        " << Quote(spec, kPosixQuote);
  }
  const std::vector<std::string> topics = CompletionTopics(syntax);
  const std::string places = topics.empty() ? "*:file:_files" : "*:topic:(" + Joined(topics) + ")";
  text << " \\\n        " << Quote(places, kPosixQuote) << " ;;\n";
}

std::string FishAction(const CompletionOption& option) {
  switch (option.kind) {
    case ValueKind::kFolder:
      return " -x -a '(__fish_complete_directories)'";
    case ValueKind::kFile:
      return " -r -F";
    case ValueKind::kChoice:
      return " -x -a " + Quote(Joined(option.choices), kFishQuote);
    case ValueKind::kOther:
      return " -x";
    case ValueKind::kNone:
      break;
  }
  return {};
}

void AddFishCommand(std::ostringstream& text, const Syntax& syntax) {
  text << "complete -c ohmglow -n __fish_use_subcommand -a " << syntax.name << " -d "
       << Quote(std::string(syntax.does), kFishQuote) << '\n';
  const std::string start =
      "complete -c ohmglow -n '__fish_seen_subcommand_from " + std::string(syntax.name) + "'";
  for (const CompletionOption& option : CompletionOptions(syntax)) {
    text << start << " -l " << option.name << FishAction(option) << " -d "
         << Quote(option.help, kFishQuote) << '\n';
  }
  const std::vector<std::string> topics = CompletionTopics(syntax);
  text << start << (topics.empty() ? " -F" : " -a " + Quote(Joined(topics), kFishQuote)) << '\n';
}

}  // namespace

std::string BashCompletion(std::span<const Command> commands) {
  std::vector<std::string> first;
  for (const Command& command : commands) first.emplace_back(command.syntax.name);
  first.insert(first.end(), {"--help", "--version"});
  std::ostringstream text;
  text << "# bash" << kHead
       << "_ohmglow_keep() { [[ -z $1 ]] || mapfile -t COMPREPLY <<< \"$1\"; }\n"
          "_ohmglow_words() { _ohmglow_keep \"$(compgen -W \"$1\" -- \"$word\")\"; }\n"
          "_ohmglow_paths() {\n"
          "  compopt -o filenames 2> /dev/null\n"
          "  _ohmglow_keep \"$(compgen \"$1\" -- \"$word\")\"\n"
          "}\n"
          "_ohmglow() {\n"
          "  local word=${COMP_WORDS[COMP_CWORD]} previous=${COMP_WORDS[COMP_CWORD - 1]}\n"
          "  COMPREPLY=()\n"
          "  if ((COMP_CWORD == 1)); then\n    _ohmglow_words "
       << Quote(Joined(first), kPosixQuote) << "\n    return\n  fi\n  case ${COMP_WORDS[1]} in\n";
  for (const Command& command : commands) AddBashCommand(text, command.syntax);
  text << "  esac\n}\ncomplete -F _ohmglow ohmglow\n";
  return text.str();
}

std::string ZshCompletion(std::span<const Command> commands) {
  std::ostringstream text;
  text << "#compdef ohmglow\n# zsh" << kHead
       << "_ohmglow() {\n  local -a commands\n  if ((CURRENT == 2)); then\n    commands=(";
  for (const Command& command : commands) {
    const std::string row =
        std::string(command.syntax.name) + ":" + ZshHelp(std::string(command.syntax.does));
    text << "\n      " << Quote(row, kPosixQuote);
  }
  text << ")\n    _describe command commands\n"
          "    _arguments '--help[commands and exit codes]' '--version[version of the program and "
          "of its libraries]'\n"
          "    return\n  fi\n  local command=$words[2]\n  shift words\n  ((CURRENT--))\n"
          "  case $command in\n";
  for (const Command& command : commands) AddZshCommand(text, command.syntax);
  text << "  esac\n}\n_ohmglow \"$@\"\n";
  return text.str();
}

std::string FishCompletion(std::span<const Command> commands) {
  std::ostringstream text;
  text << "# fish" << kHead << "complete -c ohmglow -f\n"
       << "complete -c ohmglow -n __fish_use_subcommand -l help -d 'commands and exit codes'\n"
          "complete -c ohmglow -n __fish_use_subcommand -l version -d 'version of the program and "
          "of its libraries'\n";
  for (const Command& command : commands) AddFishCommand(text, command.syntax);
  return text.str();
}

}  // namespace ohmglow::cli
