// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/batch_command.h"

#include <charconv>

#include "cli/batch_merge.h"
#include "cli/batch_run.h"
#include "cli/language.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

constexpr int kMostJobs = 256;
constexpr int kMostShards = 10000;
constexpr int kMostMemoryMb = 100'000'000;

batch::Shard ReadShard(const std::string& text) {
  batch::Shard shard;
  const auto end = text.data() + text.size();
  const auto [slash, code] = std::from_chars(text.data(), end, shard.number);
  bool good = code == std::errc() && slash != end && *slash == '/';
  if (good) {
    const auto [rest, code_of_count] = std::from_chars(slash + 1, end, shard.count);
    good = code_of_count == std::errc() && rest == end;
  }
  good = good && shard.number >= 1 && shard.number <= shard.count && shard.count <= kMostShards;
  if (!good) {
    throw OptionError("--shard: '" + text + "' is not I/N with 1 <= I <= N <= " +
                      std::to_string(kMostShards) + "; the second of three is 2/3");
  }
  return shard;
}

BatchRequest ReadMerge(const Arguments& arguments, BatchRequest request) {
  for (const char* name : {"list", "shard", "jobs", "memory-mb", "again"}) {
    if (arguments.has(name)) {
      throw OptionError(std::string("--merge computes nothing; leave out --") + name);
    }
  }
  for (const std::string& place : arguments.places()) request.merge.emplace_back(place);
  if (request.merge.empty()) {
    throw OptionError("--merge needs the folders to join (see ohmglow batch --help)");
  }
  return request;
}

ExitCode RunBatch(const Arguments& arguments) {
  const BatchRequest request = ReadBatchRequest(arguments);
  return request.merge.empty() ? RunBatchCases(request) : MergeBatches(request);
}

}  // namespace

BatchRequest ReadBatchRequest(const Arguments& arguments) {
  BatchRequest request;
  request.out = arguments.Needed("out", "the folder for the results");
  request.language = Language(arguments);
  if (arguments.has("merge")) return ReadMerge(arguments, std::move(request));
  if (arguments.has("list")) {
    if (!arguments.places().empty()) {
      throw OptionError("--list names the cases; leave out '" + arguments.places().front() + "'");
    }
    request.list = arguments.Text("list");
  } else {
    request.root = arguments.Places(1, "one folder, or --list").front();
  }
  if (arguments.has("shard")) request.shard = ReadShard(arguments.Text("shard"));
  request.jobs = arguments.Whole("jobs", 1, kMostJobs, 0);
  request.memory_mb = arguments.Whole("memory-mb", 1, kMostMemoryMb, 0);
  request.again = arguments.has("again");
  request.settings = arguments.ReadSettings();
  return request;
}

Command BatchCommand() {
  return {
      {.name = "batch",
       .does = "locate every case below a folder, several at a time",
       .usage = "  ohmglow batch ROOT --out DIR [options]\n"
                "  ohmglow batch --list FILE --out DIR [options]\n"
                "  ohmglow batch --merge DIR ... --out DIR\n",
       .about =
           "Works on every case.ini in ROOT and below, or on the cases that a list names. DIR\n"
           "gets a folder a case, as locate writes it, summary.csv, summary.json and index.html.\n"
           "Run it again after a stop: cases whose files, options and program version are the\n"
           "same are skipped. A case that fails has its error in the summary; the others go on.\n",
       .options = {{"out", "DIR", "folder for the results; its parent must exist"},
                   {"list", "FILE", "case files or folders, one a line; -: from standard input"},
                   {"jobs", "N", "cases at a time; default one a core, no more than memory allows"},
                   {"memory-mb", "N", "what they may take together; default what is free"},
                   {"shard", "I/N", "only the I-th of N parts of the cases, for several machines"},
                   {"merge", "", "join the folders of all parts into DIR"},
                   {"again", "", "compute also what has not changed"},
                   LanguageOption()},
       .numbers = true},
      RunBatch};
}

}  // namespace ohmglow::cli
