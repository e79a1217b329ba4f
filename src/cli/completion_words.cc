// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/completion_words.h"

#include <sstream>

#include "manual/pages.h"

namespace ohmglow::cli {
namespace {

// The option table calls a value DIR, FILE or "a|b"; "-" is the only word that --json takes.
void SetValue(std::string_view value, CompletionOption& option) {
  if (value == "DIR") {
    option.kind = ValueKind::kFolder;
  } else if (value == "FILE") {
    option.kind = ValueKind::kFile;
  } else if (value == "-" || value.find('|') != std::string_view::npos) {
    option.kind = ValueKind::kChoice;
    std::istringstream words{std::string(value)};
    for (std::string word; std::getline(words, word, '|');) option.choices.push_back(word);
  } else if (!value.empty()) {
    option.kind = ValueKind::kOther;
  }
}

}  // namespace

std::vector<CompletionOption> CompletionOptions(const Syntax& syntax) {
  std::vector<CompletionOption> options;
  for (const TextOption& option : syntax.options) {
    options.push_back({std::string(option.name), std::string(option.help), ValueKind::kNone, {}});
    SetValue(option.value, options.back());
  }
  if (syntax.numbers) {
    for (const NumberOption& option : NumberOptions()) {
      options.push_back(
          {std::string(option.name), std::string(option.help), ValueKind::kOther, {}});
    }
  }
  options.push_back({"help", "the options of this command", ValueKind::kNone, {}});
  return options;
}

std::vector<std::string> CompletionTopics(const Syntax& syntax) {
  std::vector<std::string> topics;
  if (syntax.name != "help") return topics;
  constexpr std::string_view kPrefix = "ohmglow-";
  for (const ManualPage& page : ManualPages()) {
    if (page.name.starts_with(kPrefix)) topics.emplace_back(page.name.substr(kPrefix.size()));
  }
  return topics;
}

std::string Joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) (text += text.empty() ? "" : " ") += word;
  return text;
}

std::string Quote(const std::string& text, const std::string& quote_inside) {
  std::string quoted = "'";
  for (const char c : text) quoted += c == '\'' ? quote_inside : std::string(1, c);
  return quoted + "'";
}

}  // namespace ohmglow::cli
