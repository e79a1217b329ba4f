// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/batch_merge.h"

#include <algorithm>
#include <iostream>
#include <map>
#include <set>

#include "batch/case_names.h"
#include "batch/inputs.h"
#include "cli/batch_folder.h"
#include "cli/batch_progress.h"
#include "input/series_pages.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

struct NaturalOrder {
  bool operator()(const std::string& a, const std::string& b) const { return NaturalLess(a, b); }
};

// Which folder a case is taken from.
using Sources = std::map<std::string, fs::path, NaturalOrder>;

std::string InputsOf(const fs::path& case_folder) {
  return batch::FilesOf(case_folder).empty() ? std::string()
                                             : ReadBytes(case_folder / "inputs.json");
}

void AddSource(const fs::path& folder, const std::string& name, Sources& sources) {
  const auto [at, is_new] = sources.emplace(name, folder);
  if (is_new || InputsOf(at->second / name) == InputsOf(folder / name)) return;
  throw InputError(folder.string() + ": case " + name + " differs from that in " +
                   at->second.string() + "; run both again, or leave one out");
}

// All parts of one shelf, or none: what is missing would be missed by nobody.
void CheckParts(const std::vector<batch::SummaryHead>& heads,
                const std::vector<fs::path>& folders) {
  std::set<int> numbers;
  const auto& first = heads.front().part;
  for (std::size_t i = 0; i < heads.size(); ++i) {
    const auto& part = heads[i].part;
    if (part.has_value() != first.has_value() ||
        (part &&
         (part->shard.count != first->shard.count || part->num_cases != first->num_cases))) {
      throw InputError(folders[i].string() + ": is no part of the same shelf as " +
                       folders.front().string() + "; merge what was run with one --shard count");
    }
    if (part) numbers.insert(part->shard.number);
  }
  for (int number = 1; first && number <= first->shard.count; ++number) {
    if (numbers.count(number) == 0) {
      throw InputError("part " + std::to_string(number) + " of " +
                       std::to_string(first->shard.count) +
                       " is not among the folders; run it with --shard and name its folder too");
    }
  }
}

Sources ReadSources(const BatchRequest& request) {
  Sources sources;
  std::vector<batch::SummaryHead> heads;
  for (const fs::path& folder : request.merge) {
    const fs::path file = folder / "summary.json";
    if (!fs::exists(file)) {
      throw InputError(file.string() + ": is missing; let the batch of this folder run to its end");
    }
    heads.push_back(batch::ReadSummaryHead(ReadBytes(file), file.string()));
    for (const std::string& name : heads.back().names) AddSource(folder, name, sources);
  }
  CheckParts(heads, request.merge);
  std::vector<std::string> names;
  for (const auto& [name, folder] : sources) names.push_back(name);
  const std::vector<std::string> distinct = batch::MakeDistinct(names);
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (names[i] == distinct[i]) continue;
    throw InputError(sources[names[i]].string() + ": case " + names[i] +
                     " would lie inside the folder of another case; leave one out");
  }
  return sources;
}

void CheckApart(const BatchFolder& out, const BatchRequest& request) {
  for (const fs::path& folder : request.merge) {
    std::error_code ignored;
    if (!fs::equivalent(folder, out.path(), ignored)) continue;
    throw OutputError(request.out.string() + ": is one of the folders to join; give another one");
  }
}

void CopyCase(const fs::path& from, const fs::path& to) {
  ClearLeftovers(to, kBatchCaseFolder);
  const std::string inputs = InputsOf(from);
  if (inputs.empty() || inputs == InputsOf(to)) return;
  std::vector<ResultFile> files;
  const auto& known = kBatchCaseFolder.names;
  for (const std::string& name : batch::FilesOf(from)) {
    // The list comes from a file: only names of ours are followed.
    if (std::find(known.begin(), known.end(), name) == known.end()) {
      throw InputError((from / "inputs.json").string() + ": lists '" + name +
                       "', which is no file of a case; run the batch of this folder again");
    }
    files.push_back({name, ReadBytes(from / name)});
  }
  std::error_code code;
  fs::create_directories(to.parent_path(), code);
  if (code) throw OutputError(to.parent_path().string() + ": cannot be made; check rights");
  WriteResultFolder(to, kBatchCaseFolder, files);
}

}  // namespace

ExitCode MergeBatches(const BatchRequest& request) {
  const Sources sources = ReadSources(request);
  const BatchFolder out(request.out);
  CheckApart(out, request);
  out.RemoveSummary();
  batch::Summary summary;
  for (const auto& [name, folder] : sources) {
    CopyCase(folder / name, out.path() / name);
    summary.records.push_back(batch::ReadRecord(out.path(), name));
  }
  out.WriteSummary(summary, request.language);
  const std::size_t done = batch::CountOf(summary, batch::CaseStatus::kDone);
  const std::size_t bad = summary.records.size() - done;
  const Words& words = Words::Report(request.language);
  std::cout << words.Fill("batch.merged",
                          {{"cases", CasesText(summary.records.size(), words)},
                           {"folders", std::to_string(request.merge.size())},
                           {"done", std::to_string(done)},
                           {"failed", std::to_string(bad)},
                           {"file", (request.out / "index.html").string()}})
            << std::endl;
  if (bad > 0) {
    std::cerr << "ohmglow: " << bad << " of " << summary.records.size()
              << " cases failed; see the summary" << std::endl;
  }
  return bad > 0 ? ExitCode::kSomeFailed : ExitCode::kDone;
}

}  // namespace ohmglow::cli
