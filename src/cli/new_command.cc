// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/new_command.h"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <iostream>
#include <string>
#include <vector>

#include "cli/language.h"
#include "cli/open_case.h"
#include "cli/process.h"
#include "input/text.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/input/unknown_scale.h"
#include "ohmglow/words/say.h"
#include "ohmglow/words/say_clauses.h"
#include "words/shown_text.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

constexpr int kColumns = 100;
constexpr std::size_t kMostAside = 8;
constexpr std::size_t kMostChars = 400;
constexpr std::size_t kQuestionChars = 600;

// A file that was not there, or none; errno says why none.
bool Create(const fs::path& file, const std::string& text) {
  const int descriptor = open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
  if (descriptor < 0) return false;
  const ssize_t size = write(descriptor, text.data(), text.size());
  const int cause = size < 0 ? errno : ENOSPC;
  close(descriptor);
  if (size == static_cast<ssize_t>(text.size())) return true;
  unlink(file.c_str());
  errno = cause;
  return false;
}

// Whole or not at all, and never over a file that is there.
void WriteNew(const fs::path& file, const std::string& text) {
  const fs::path fresh = file.string() + ".partial-" + std::to_string(getpid());
  const bool written = Create(fresh, text);
  // A link, unlike a renaming, replaces nothing.
  bool placed = written && link(fresh.c_str(), file.c_str()) == 0;
  int cause = errno;
  if (written) unlink(fresh.c_str());
  if (written && !placed && cause != EEXIST) {  // A memory card's file system has no links.
    placed = Create(file, text);
    cause = errno;
  }
  if (placed) return;
  const std::string why = std::strerror(cause);
  throw OutputError(file.string() + ": cannot be written (" + why + "); check rights and space");
}

void RefuseOverwriting(const FolderSurvey& survey, const fs::path& file) {
  const fs::path there = survey.case_file.empty() ? file : survey.case_file;
  std::error_code code;
  if (survey.case_file.empty() && !fs::exists(fs::symlink_status(file, code))) return;
  throw OutputError(
      there.string() +
      ": is there already and is left as it is; 'ohmglow locate' takes what it leaves "
      "out from the folder");
}

// A case file for nothing would only stand in the way later.
void RefuseEmpty(const FolderSurvey& survey) {
  const bool found = std::any_of(survey.settings.begin(), survey.settings.end(), [](const auto& s) {
    return s.key != "title";
  });
  const bool may_be =
      std::any_of(survey.questions.begin(), survey.questions.end(), [](const auto& question) {
        return !question.candidates.empty();
      });
  if (found || may_be) return;
  throw InputError(survey.folder.string() +
                   ": no frames and no table of a capture lie in it; copy them there first");
}

// What a case read from the survey says; its error is a question as well.
struct Tried {
  std::vector<Assumption> assumed;
  std::string question;  ///< As it stands in the case file.
  std::string asks_for;  ///< Its key; empty where an error asks.
};

// Of counts that nothing tells: the lines that would, ready to be uncommented.
SurveyQuestion AskForScale(const UnknownScaleError& error) {
  SurveyQuestion question{"frames.scale", {}, error.shown(), true};
  for (const CountReading& one : error.readings()) {
    const Clause if_so{"survey.scale_if", Remark().With("meaning", one.meaning)};
    if (!one.unit.empty()) {
      question.answers.push_back({"frames.unit", one.unit, if_so});
      continue;
    }
    question.answers.push_back({"frames.scale", FormatNumber(one.scale_k), if_so});
    question.answers.push_back({"frames.zero", FormatNumber(one.zero_k), {}});
  }
  if (error.readings().empty()) {
    question.answers.push_back({"frames.scale", {}, {"survey.scale_of_camera"}});
    question.answers.push_back({"frames.zero", {}, {}});
  }
  question.answers.push_back({"frames.unit", "relative", {"survey.scale_unknown"}});
  return question;
}

Tried TryCase(FolderSurvey& survey) {
  for (const SurveyQuestion& question : survey.questions) {
    if (question.needed) return {{}, question.text, question.key};
  }
  Tried tried;
  try {
    const Case job = LoadSurveyed(survey);
    std::copy_if(job.assumed.begin(),
                 job.assumed.end(),
                 std::back_inserter(tried.assumed),
                 [](const Assumption& one) {
                   return one.how != AssumedHow::kInFolder && one.how != AssumedHow::kSetAside;
                 });
  } catch (const UnknownScaleError& error) {
    tried.question = error.what();
    survey.questions.push_back(AskForScale(error));
    return tried;
  } catch (const InputError& error) {
    tried.question = error.what();
  }
  if (tried.question.empty() && !survey.questions.empty()) {
    tried.question = survey.questions.front().text;
    tried.asks_for = survey.questions.front().key;
  }
  return tried;
}

// Without a log or levels a capture is worth much less: that is asked for as well.
// Tells whether it was.
bool AskForSupply(FolderSurvey& survey) {
  const auto supply = [](const auto& said) { return said.key.starts_with("supply."); };
  if (std::any_of(survey.settings.begin(), survey.settings.end(), supply) ||
      std::any_of(survey.questions.begin(), survey.questions.end(), supply)) {
    return false;
  }
  survey.questions.push_back({"supply.log", {}, Say(Remark(RemarkKind::kAskForLog)), false});
  return true;
}

void PrintWrapped(const std::string& text) {
  for (const std::string& line : internal::WrapColumns(text, kColumns, 2)) {
    std::cout << line << '\n';
  }
}

void PrintFound(const FolderSurvey& survey, const Words& words) {
  int width = 0;
  for (const Setting& setting : survey.settings) {
    width = std::max(width, internal::NumColumns(setting.key));
  }
  for (const Setting& setting : survey.settings) {
    const std::string key(static_cast<std::size_t>(width - internal::NumColumns(setting.key)), ' ');
    std::cout << internal::CutToColumns(
                     "  " + setting.key + key + "  " +
                         internal::CleanText(setting.value, kMostChars) + "  (" +
                         internal::CleanText(SayClauses({setting.why}, words), kMostChars) + ")",
                     kColumns)
              << '\n';
  }
  if (survey.set_aside.empty()) return;
  std::string files;
  for (std::size_t i = 0; i < std::min(survey.set_aside.size(), kMostAside); ++i) {
    files += (i > 0 ? "; " : "") + internal::CleanText(survey.set_aside[i].value, kMostChars) +
             " (" + internal::CleanText(SayClauses({survey.set_aside[i].why}, words), kMostChars) +
             ")";
  }
  if (survey.set_aside.size() > kMostAside) {
    const std::size_t more = survey.set_aside.size() - kMostAside;
    files = words.Fill("new.more", {{"files", files}, {"count", std::to_string(more)}});
  }
  PrintWrapped(words.Fill("new.left_alone", {{"files", files}}));
}

ExitCode RunNew(const Arguments& arguments) {
  const fs::path folder = arguments.Places(1, "one folder").front();
  const Words& words = Words::Report(Language(arguments));
  FolderSurvey survey = SurveyFolder(folder, ReadChoice(arguments));
  const fs::path file = survey.folder / "case.ini";
  RefuseOverwriting(survey, file);
  RefuseEmpty(survey);
  const bool asked = AskForSupply(survey);
  const Tried tried = TryCase(survey);
  WriteNew(file, ToCaseFile(survey, tried.assumed));
  std::cout << words.Fill("new.written", {{"file", internal::CleanText(file.string(), kMostChars)}})
            << '\n';
  PrintFound(survey, words);
  if (tried.question.empty()) return ExitCode::kDone;
  const std::string question = asked && tried.asks_for == "supply.log"
                                   ? Say(Remark(RemarkKind::kAskForLog), words)
                                   : tried.question;
  PrintWrapped(
      words.Fill("new.question", {{"text", internal::CleanText(question, kQuestionChars)}}));
  return ExitCode::kWithWarnings;
}

}  // namespace

Command NewCommand() {
  return {
      {.name = "new",
       .does = "write a case file for what lies in a folder, and say why each line stands there",
       .usage = "  ohmglow new FOLDER [--frames NAME] [--log NAME] [--photo FILE] [--parts FILE]\n",
       .about =
           "Tells frames, photo, supply log, parts list, landmarks and contacts apart by what is\n"
           "in them, and writes FOLDER/case.ini with a comment on each line. Prints the one\n"
           "question that is left, if any (exit code 7). Never overwrites a case file.\n",
       .options = WithChoice({LanguageOption()}),
       .numbers = false},
      RunNew};
}

}  // namespace ohmglow::cli
