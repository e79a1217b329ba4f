// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/batch_case.h"

#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <nlohmann/json.hpp>

#include "batch/case_record.h"
#include "batch/index_page.h"
#include "batch/memory.h"
#include "batch/thumbnail.h"
#include "cli/batch_folder.h"
#include "cli/exit_code.h"
#include "cli/located_case.h"
#include "cli/process.h"
#include "input/jpeg_codec.h"
#include "ohmglow/base/error.h"
#include "picture/answer_words.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

constexpr int kThumbnailQuality = 85;

ResultFile Thumbnail(const LocatedCase& located) {
  const cv::Mat picture = batch::DrawThumbnail(located.result, located.job.photo);
  return {std::string(batch::kThumbnailName), EncodeJpeg(picture, kThumbnailQuality)};
}

std::string Answer(const LocateResult& result, const Words& words) {
  std::string text = internal::VerdictText(result, words);
  if (!result.candidates.empty() && internal::MayBeFault(result, result.candidates.front())) {
    const Candidate& first = result.candidates.front();
    const std::string power = result.values == FrameValues::kRelative
                                  ? words.Get("index.no_watts")
                                  : internal::WattsText(first.power_w, words);
    text.append(" ").append(power).append("; ");
    text.append(internal::ConfidenceText(first.confidence, words)).append(".");
  }
  return text;
}

std::string AnswerOf(const batch::CaseRecord& record, const std::string& language) {
  return record.status == batch::CaseStatus::kDone ? Answer(record.result, Words::Report(language))
                                                   : record.error;
}

// Everything of one case.
class CaseRun {
 public:
  CaseRun(const batch::CaseEntry& entry, const BatchCaseOptions& options)
      : entry_(entry), options_(options), folder_(options.out / entry.name) {}

  CaseReport Run(const batch::MemoryGate& gate) {
    try {
      ClearLeftovers(folder_, kBatchCaseFolder);
      EnterCaseFolder();
      inputs_ = batch::DescribeInputs(entry_.file.filename(), OptionsThatMatter(options_.settings));
      if (!options_.again && batch::IsUpToDate(folder_, inputs_)) {
        const batch::CaseRecord record = batch::ReadRecord(options_.out, entry_.name);
        if (record.status == batch::CaseStatus::kDone) {
          return {CaseOutcome::kUnchanged, AnswerOf(record, options_.language)};
        }
        if (record.status == batch::CaseStatus::kFailed) {
          return {CaseOutcome::kFailedUnchanged, AnswerOf(record, options_.language)};
        }
      }
      return Compute(gate);
    } catch (const OutputError& error) {
      return {CaseOutcome::kNotWritten, error.what()};
    } catch (const std::exception& error) {
      return Failed(error);
    }
  }

  CaseReport Record(int code, const std::string& text) {
    try {
      WriteCaseFolder(folder_, inputs_, {{"error.json", batch::ToErrorJson(title_, code, text)}});
    } catch (const std::exception& error) {
      return {CaseOutcome::kNotWritten, error.what()};
    }
    return {CaseOutcome::kFailed, text};
  }

 private:
  void EnterCaseFolder() const {
    const fs::path folder = entry_.file.parent_path();
    if (folder.empty() || chdir(folder.c_str()) == 0) return;
    throw InputError(entry_.file.filename().string() + ": its folder cannot be entered (" +
                     std::strerror(errno) + "); check the path and rights");
  }

  CaseReport Compute(const batch::MemoryGate& gate) {
    LocatedCase located;
    located.job = LoadCase(entry_.file.filename());
    title_ = located.job.title;
    gate.Ask(batch::JobMemoryBytes(located.job.frames->size_px(), located.job.photo.size()));
    located.result = Locate(located.job, options_.settings.locate);
    const Words& words = Words::Report(options_.language);
    std::vector<ResultFile> files = MakeLocateFiles(located, false, words);
    files.push_back(Thumbnail(located));
    WriteCaseFolder(folder_, inputs_, std::move(files));
    return {CaseOutcome::kComputed, Answer(located.result, words)};
  }

  // What is wrong with the case stays wrong until it is changed; a fault of
  // the program or want of memory may not, so that is tried again.
  CaseReport Failed(const std::exception& error) {
    const ExitCode code = CodeOf(error);
    if (code == ExitCode::kInternal) inputs_ = batch::NoInputs();
    const bool memory = dynamic_cast<const std::bad_alloc*>(&error) != nullptr;
    return Record(static_cast<int>(code), memory ? "not enough memory" : error.what());
  }

  const batch::CaseEntry& entry_;
  const BatchCaseOptions& options_;
  fs::path folder_;
  std::string title_;
  nlohmann::ordered_json inputs_ = batch::NoInputs();
};

}  // namespace

std::string CaseReport::Encode() const {
  return std::string(1, static_cast<char>('0' + static_cast<int>(outcome))) + text;
}

CaseReport CaseReport::Decode(const std::string& text) {
  return {static_cast<CaseOutcome>(text.at(0) - '0'), text.substr(1)};
}

CaseReport RunBatchCase(const batch::CaseEntry& entry,
                        const BatchCaseOptions& options,
                        const batch::MemoryGate& gate) {
  SetThreads(options.settings.threads);
  return CaseRun(entry, options).Run(gate);
}

CaseReport RecordBrokenCase(const batch::CaseEntry& entry,
                            const BatchCaseOptions& options,
                            const std::string& what) {
  return CaseRun(entry, options).Record(static_cast<int>(ExitCode::kInternal), what);
}

batch::OptionValues OptionsThatMatter(const Settings& settings) {
  batch::OptionValues values;
  Settings copy = settings;
  for (const NumberOption& option : NumberOptions()) {
    if (option.name == "threads") continue;  // The answer is the same with any.
    const double value =
        std::visit([&](auto field) { return static_cast<double>(field(copy)); }, option.field);
    values.emplace_back(option.name, value);
  }
  return values;
}

}  // namespace ohmglow::cli
