// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cstring>
#include <set>
#include <utility>

#include "input/case_keys.h"
#include "input/frame_unit.h"
#include "input/ini_file.h"
#include "input/supply_levels.h"
#include "input/text.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/survey.h"
#include "survey/decide.h"
#include "survey/found_file.h"

namespace ohmglow {
namespace {

namespace fs = std::filesystem;

std::string Inside(const fs::path& folder, const fs::path& file) {
  std::error_code code;
  const fs::path base = fs::weakly_canonical(fs::absolute(folder, code), code);
  const fs::path whole = fs::weakly_canonical(fs::absolute(file, code), code);
  return whole.lexically_proximate(base).generic_string();
}

// No line of a case file can hold such a name.
bool FitsALine(const std::string& name) {
  return std::none_of(
      name.begin(), name.end(), [](char c) { return (c >= 0 && c < ' ') || c == '"'; });
}

// The case file of a folder, by what it is called where there are several.
struct CaseFiles {
  fs::path chosen;
  std::vector<std::string> others;
};

CaseFiles FindCaseFiles(const std::vector<FoundFile>& found) {
  std::vector<std::string> names;
  for (const FoundFile& file : found) {
    if (file.kind == FoundFile::Kind::kCaseFile) names.push_back(file.group.files.front().name);
  }
  const auto top = [](const std::string& name) { return name.find('/') == std::string::npos; };
  std::stable_partition(names.begin(), names.end(), top);
  const auto usual = std::find(names.begin(), names.end(), "case.ini");
  if (usual != names.end()) return {*usual, {}};
  const auto num_top = std::count_if(names.begin(), names.end(), top);
  if (num_top == 1 || names.size() == 1) return {names.front(), {}};
  return {{}, names};
}

// Files that a case file names, so that none of them takes another part.
std::set<std::string> NamedBy(const fs::path& folder, const fs::path& case_file) {
  std::set<std::string> names;
  for (const NamedFiles& named : ListCaseFiles(case_file)) {
    for (const fs::path& file : named.files) names.insert(Inside(folder, file));
  }
  return names;
}

std::set<std::string> KeysOf(const fs::path& case_file) {
  const IniFile ini(case_file, CaseKeys());
  std::set<std::string> keys;
  for (const std::string& key : CaseKeys()) {
    if (ini.Find(key)) keys.insert(key);
  }
  return keys;
}

class Surveyor {
 public:
  Surveyor(fs::path folder, const SurveyChoice& choice) : choice_(choice) {
    out_.folder = std::move(folder);
  }

  FolderSurvey Survey() {
    Look();
    if (!ChooseCase()) return std::move(out_);
    TakeChoice();
    if (taken_.contains("frames.rate_hz")) taken_.insert("frames.times");
    std::erase_if(found_, [&](const FoundFile& file) {
      return file.kind == FoundFile::Kind::kCaseFile || named_.contains(file.group.name) ||
             named_.contains(file.group.files.front().name);
    });
    Decision decision = Decide(found_, taken_);
    std::move(
        decision.settings.begin(), decision.settings.end(), std::back_inserter(out_.settings));
    out_.questions = std::move(decision.questions);
    ExplainLogs(decision.set_aside);
    std::move(
        decision.set_aside.begin(), decision.set_aside.end(), std::back_inserter(out_.set_aside));
    return std::move(out_);
  }

 private:
  void Look() {
    found_.clear();
    std::vector<std::string> results;
    auto files = ListFolder(out_.folder, choice_.result_names, results);
    const auto unfit = std::stable_partition(
        files.begin(), files.end(), [](const auto& file) { return FitsALine(file.name); });
    out_.set_aside.clear();
    for (auto file = unfit; file != files.end(); ++file) {
      out_.set_aside.push_back({{}, file->name, {"survey.name_unfit"}});
    }
    files.erase(unfit, files.end());
    for (FileGroup& group : GroupFiles(files)) {
      found_.push_back(Probe(out_.folder, std::move(group)));
    }
    for (std::string& name : results) {
      out_.set_aside.push_back({{}, std::move(name), {"survey.result"}});
    }
  }

  bool ChooseCase() {
    const CaseFiles cases = FindCaseFiles(found_);
    if (!cases.others.empty()) {
      std::string text = "which of " + cases.others[0] + " and " + cases.others[1] +
                         (cases.others.size() > 2 ? " (and more)" : "") +
                         " is meant? Name that case file instead of the folder.";
      out_.questions.push_back({"case", cases.others, std::move(text), true});
      return false;
    }
    if (cases.chosen.empty()) {
      const std::string title =
          (fs::absolute(out_.folder) / ".").lexically_normal().parent_path().filename().string();
      out_.settings.push_back({"title", title, {"survey.folder_name"}});
      return true;
    }
    if (cases.chosen.has_parent_path()) {  // What it names is relative to it.
      out_.folder /= cases.chosen.parent_path();
      Look();
    }
    out_.case_file = out_.folder / cases.chosen.filename();
    taken_ = KeysOf(out_.case_file);
    named_ = NamedBy(out_.folder, out_.case_file);
    return true;
  }

  void Choose(const char* key, const fs::path& file) {
    if (file.empty()) return;
    std::error_code code;
    // As it stands, or as it stands in the folder.
    const fs::path there = out_.folder / file;
    const bool inside = fs::exists(there, code);
    const bool here = fs::exists(file, code) || !inside;
    // Frames may be a pattern, which their reader knows.
    if (here && !fs::exists(file, code) && key != std::string_view("frames.source")) {
      const std::string option =
          std::string("--").append(key).replace(2, std::strcspn(key, ".") + 1, "");
      throw InputError(option + ": " + file.string() + ": no such file; check the name");
    }
    std::string name = Inside(out_.folder, here ? file : there);
    if (!FitsALine(name)) {
      throw InputError(out_.folder.string() +
                       ": a quote or a line break stands in the name given "
                       "for " +
                       key + "; rename that file");
    }
    named_.insert(name);
    out_.settings.push_back({key, std::move(name), {std::string(kAskedFor)}});
    taken_.insert(key);
  }

  // What the user said goes before what lies there, but never against the case file.
  void TakeChoice() {
    const std::pair<const char*, const fs::path&> files[] = {{"frames.source", choice_.frames},
                                                             {"supply.log", choice_.log},
                                                             {"board.photo", choice_.photo},
                                                             {"board.parts", choice_.parts}};
    for (const auto& [key, file] : files) {
      if (!file.empty()) RefuseTwice(key);
      Choose(key, file);
    }
    TakeUnit();
    if (choice_.levels.empty()) return;
    RefuseTwice("supply.levels");
    RefuseLevelsBesideALog();
    // Here already, so that a message names the option.
    static_cast<void>(ParseLevels(choice_.levels, SetLevel().within_s, "--levels"));
    out_.settings.push_back({"supply.levels", choice_.levels, {std::string(kAskedFor)}});
    taken_.insert("supply.levels");
  }

  // A word, or scale and zero.
  void TakeUnit() {
    if (choice_.unit.empty()) return;
    for (const char* key : {"frames.unit", "frames.scale", "frames.zero"}) RefuseTwice(key);
    const std::string_view text = Trim(choice_.unit);
    const std::size_t gap = text.find_first_of(" \t");
    const auto take = [&](const char* key, std::string_view value) {
      out_.settings.push_back({key, std::string(value), {std::string(kAskedFor)}});
      taken_.insert(key);
    };
    if (gap == std::string_view::npos) {
      if (!FindCountUnit(std::string(text)) && ToLower(text) != "relative") RefuseUnit();
      return take("frames.unit", text);
    }
    const auto scale = ParseNumber(text.substr(0, gap));
    const std::string_view zero = Trim(text.substr(gap));
    if (!scale || !(*scale > 0) || !ParseNumber(zero)) RefuseUnit();
    take("frames.scale", text.substr(0, gap));
    take("frames.zero", zero);
  }

  [[noreturn]] void RefuseUnit() const {
    throw InputError(
        "--unit: '" + choice_.unit +
        "' is no unit; give kelvin, celsius, fahrenheit or relative, or scale and zero "
        "in kelvin, such as \"0.01 273.15\" for hundredths of a degree Celsius");
  }

  void RefuseLevelsBesideALog() const {
    if (!choice_.log.empty()) throw InputError("--levels: give it or --log, not both");
    if (taken_.contains("supply.log")) {
      throw InputError(out_.case_file.string() +
                       " names a log; remove the line log = ... to use --levels");
    }
    if (taken_.contains("supply.steps")) {
      throw InputError(out_.case_file.string() +
                       " names a table of levels; remove the line steps = ... to use --levels");
    }
  }

  // Says of a log that it was passed over for what the user gave.
  void ExplainLogs(std::vector<Setting>& set_aside) const {
    for (Setting& aside : set_aside) {
      if (aside.key == "supply.log" && !choice_.levels.empty()) {
        aside.why = {"survey.levels_given"};
      } else {
        aside.key.clear();
      }
    }
  }

  void RefuseTwice(const std::string& key) const {
    if (!taken_.contains(key)) return;
    throw InputError(out_.case_file.string() + ": says " + key +
                     " already; change it there instead of giving the option");
  }

  const SurveyChoice& choice_;
  std::vector<FoundFile> found_;
  std::set<std::string> taken_;  // Keys.
  std::set<std::string> named_;  // Files that have their part.
  FolderSurvey out_;
};

}  // namespace

FolderSurvey SurveyFolder(const fs::path& folder, const SurveyChoice& choice) {
  return Surveyor(folder, choice).Survey();
}

}  // namespace ohmglow
