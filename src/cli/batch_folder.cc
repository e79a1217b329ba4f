// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/batch_folder.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstring>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <thread>

#include "batch/index_page.h"
#include "batch/inputs.h"
#include "cli/output_file.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

// A killed batch's processes are gone within this time.
constexpr int kLockTries = 40;
constexpr auto kLockPause = std::chrono::milliseconds(50);

std::string ReadIfThere(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

bool IsOurSummary(const std::string& text) {
  try {
    (void)batch::ReadSummaryHead(text, "");
    return true;
  } catch (const InputError&) {
    return false;
  }
}

// A file of another origin under one of our names is left alone.
void CheckOurs(const fs::path& file, bool (*is_ours)(const std::string&)) {
  if (!fs::exists(fs::symlink_status(file)) || is_ours(ReadIfThere(file))) return;
  RefuseOutput(file, "stands there and is not of ohmglow; give another folder with --out");
}

void WriteWhole(const fs::path& file, const std::string& bytes) {
  const fs::path fresh = file.string() + ".partial";
  std::ofstream stream(fresh, std::ios::binary);
  stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  stream.close();
  if (!stream) {
    std::error_code ignored;
    const std::string why = std::strerror(errno);
    fs::remove(fresh, ignored);
    RefuseOutput(file, "cannot be written (" + why + "); check free space and rights");
  }
  std::error_code code;
  fs::rename(fresh, file, code);
  if (code) RefuseOutput(file, "cannot be written (" + code.message() + ")");
}

}  // namespace

BatchFolder::BatchFolder(const fs::path& folder) {
  std::error_code code;
  path_ = fs::weakly_canonical(fs::absolute(folder, code), code);
  if (path_.filename().empty()) path_ = path_.parent_path();
  if (!fs::is_directory(path_.parent_path(), code)) {
    RefuseOutput(folder,
                 "the folder it belongs in (" + path_.parent_path().string() +
                     ") is missing; make it first");
  }
  fs::create_directory(path_, code);
  if (code) RefuseOutput(folder, "cannot be made (" + code.message() + ")");
  if (access(path_.c_str(), R_OK | W_OK | X_OK) != 0) {
    RefuseOutput(folder, std::string("cannot be written to (") + std::strerror(errno) + ")");
  }
  Lock();
  CheckOurs(path_ / "index.html", [](const auto& text) { return batch::IsIndexPage(text); });
  CheckOurs(path_ / "summary.csv",
            [](const auto& text) { return text.starts_with(batch::SummaryCsvHeader()); });
  CheckOurs(path_ / "summary.json", IsOurSummary);
}

BatchFolder::~BatchFolder() {
  if (descriptor_ >= 0) close(descriptor_);
}

void BatchFolder::Lock() {
  // Children inherit the descriptor and with it the lock: a second batch
  // waits until the last process of a killed one has ended.
  descriptor_ = open(path_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  for (int i = 0; flock(descriptor_, LOCK_EX | LOCK_NB) != 0; ++i) {
    if (errno != EWOULDBLOCK) return;  // No locks on this file system.
    if (i == kLockTries) {
      RefuseOutput(path_,
                   "another batch is writing to it; wait for its end or give another folder");
    }
    std::this_thread::sleep_for(kLockPause);
  }
}

void BatchFolder::RemoveSummary() const {
  for (const char* name : {"summary.json", "summary.csv", "index.html"}) {
    std::error_code code;
    fs::remove(path_ / name, code);
    if (code) RefuseOutput(path_ / name, "cannot be replaced (" + code.message() + ")");
  }
}

void BatchFolder::WriteSummary(const batch::Summary& summary, const std::string& language) const {
  WriteWhole(path_ / "index.html", batch::ToIndexPage(summary, language));
  WriteWhole(path_ / "summary.csv", batch::ToSummaryCsv(summary));
  WriteWhole(path_ / "summary.json", batch::ToSummaryJson(summary));
}

void WriteCaseFolder(const fs::path& folder,
                     const nlohmann::ordered_json& inputs,
                     std::vector<ResultFile> files) {
  batch::FileSizes written;
  for (const ResultFile& file : files) written.emplace_back(file.name, file.bytes.size());
  files.push_back({"inputs.json", batch::ToInputsJson(inputs, written)});
  std::error_code code;
  fs::create_directories(folder.parent_path(), code);
  if (code) RefuseOutput(folder.parent_path(), "cannot be made (" + code.message() + ")");
  WriteResultFolder(folder, kBatchCaseFolder, files);
}

std::string ReadBytes(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  std::ostringstream bytes;
  if (!stream || !(bytes << stream.rdbuf())) {
    throw InputError(file.string() + ": cannot be read; check rights");
  }
  return bytes.str();
}

}  // namespace ohmglow::cli
