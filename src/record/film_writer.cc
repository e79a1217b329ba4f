// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/film_writer.h"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <cstdio>
#include <cstring>
#include <utility>

#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::record {
namespace {

namespace fs = std::filesystem;

constexpr double kRowTickS = 1e-4;  // Of times as they are written.
constexpr std::array kNames{"frames.raw", "frames.csv", "supply.csv", "steps.csv"};
constexpr std::array kHeaders{
    "", "index,time_s\n", "time_s,volts,amps\n", "time_s,amps,within_s\n"};
constexpr std::size_t kMostWaiting = 256ULL << 20;
constexpr std::chrono::seconds kSyncEvery{1};

std::string Row(const char* format, double a, double b, double c) {
  char text[96];
  std::snprintf(text, sizeof text, format, a, b, c);
  return text;
}

const char* TypeWord(int depth) {
  if (depth == CV_8U) return "u8";
  if (depth == CV_16S) return "i16le";
  return depth == CV_32F ? "f32le" : "u16le";
}

// Some file systems know no such thing; that is no failure.
bool Synced(int result) {
  return result == 0 || errno == EINVAL || errno == ENOTSUP || errno == EROFS;
}

bool FolderToDisk(const fs::path& folder) {
  const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  const bool done = fd >= 0 && Synced(::fsync(fd));
  if (fd >= 0) ::close(fd);
  return done;
}

// Whole or not at all. While it films the recorder has no time to wait for a disk.
void Replace(const fs::path& file, const std::string& text, bool to_disk) {
  const fs::path fresh = file.string() + ".new";
  const int fd = ::open(fresh.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
  const bool wrote = fd >= 0 &&
                     ::write(fd, text.data(), text.size()) == static_cast<ssize_t>(text.size()) &&
                     (!to_disk || Synced(::fsync(fd)));
  if (fd >= 0) ::close(fd);
  if (!wrote || ::rename(fresh.c_str(), file.c_str()) != 0) {
    throw OutputError(file.string() + ": cannot be written (" + std::strerror(errno) +
                      "); check the free space");
  }
}

}  // namespace

void RequireNewFolder(const fs::path& folder) {
  std::error_code error;
  if (fs::exists(folder, error) &&
      !(fs::is_directory(folder, error) && fs::is_empty(folder, error))) {
    throw OutputError(folder.string() + ": is there already; name a new folder");
  }
  fs::path parent = fs::absolute(folder, error).lexically_normal();
  if (!parent.has_filename()) parent = parent.parent_path();  // "folder/"
  parent = parent.parent_path();
  if (!fs::is_directory(parent, error)) {
    throw OutputError(folder.string() + ": there is no folder " + parent.string() +
                      "; make it first");
  }
}

FilmWriter::FilmWriter(const fs::path& folder, BoardText board, FilmKind kind)
    : folder_(folder), board_(std::move(board)), kind_(kind) {
  RequireNewFolder(folder_);
  std::error_code error;
  fs::create_directory(folder_, error);
  if (error) throw OutputError(folder_.string() + ": " + error.message());
  for (const NamedCopy& copy : board_.copies) {
    fs::copy_file(copy.from, folder_ / copy.to, error);
    if (error) throw OutputError((folder_ / copy.to).string() + ": " + error.message());
  }
  thread_ = std::thread([this] { Work(); });
  sync_thread_ = std::thread([this] { SyncAgain(); });
}

FilmWriter::~FilmWriter() {
  {
    const std::lock_guard lock(mutex_);
    ends_ = true;
  }
  wake_.notify_all();
  end_.notify_all();
  thread_.join();
  sync_thread_.join();
  for (const int fd : files_) {
    if (fd >= 0) ::close(fd);
  }
}

std::string FilmWriter::CaseText(bool growing) const {
  std::string text = board_.text;
  text += "\n[frames]\n; Filmed by ohmglow record.\nsource = frames.raw\n";
  text += std::string(growing ? "growing" : "times") + " = frames.csv\n";
  text += "width_px = " + std::to_string(size_px_.width) + '\n';
  text += "height_px = " + std::to_string(size_px_.height) + '\n';
  text += std::string("type = ") + TypeWord(depth_) + '\n';
  text += "\n[supply]\n";
  if (kind_ == FilmKind::kSteps) return text + "steps = steps.csv\n";
  if (kind_ == FilmKind::kTwoClocks) return text + "log = supply.csv\nclock_offset_s = auto\n";
  // Both were timed by one clock when they arrived.
  return text + "log = supply.csv\nclock_offset_s = 0\n";
}

void FilmWriter::Begin(const cv::Mat& counts) {
  size_px_ = counts.size();
  depth_ = counts.depth();
  for (std::size_t k = 0; k < kNumFiles; ++k) {
    if (k == (kind_ == FilmKind::kSteps ? kSupply : kSteps)) continue;
    if (files_[k] >= 0) continue;
    files_[k] =
        ::open((folder_ / kNames[k]).c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0644);
    if (files_[k] < 0) {
      throw OutputError((folder_ / kNames[k]).string() + ": " + std::strerror(errno));
    }
    Put(static_cast<File>(k), kHeaders[k]);
  }
  Replace(case_file(), CaseText(true), false);
  begun_ = true;
}

void FilmWriter::AddFrame(double time_s, const cv::Mat& counts) {
  if (!begun_) Begin(counts);
  Put(kTimes, Row("%.0f,%.4f\n", static_cast<double>(times_s_.size()), time_s, 0));
  const cv::Mat whole = counts.isContinuous() ? counts : counts.clone();
  Put(kFrames,
      std::string(reinterpret_cast<const char*>(whole.data), whole.total() * whole.elemSize()));
  times_s_.push_back(time_s);
}

void FilmWriter::AddReading(double time_s, double volts_v, double amps_a) {
  if (!begun_ || kind_ == FilmKind::kSteps) return;
  // The supply may be asked twice at one time, when it is switched; the times of a log rise.
  reading_s_ = std::max(time_s, reading_s_ + kRowTickS);
  Put(kSupply, Row("%.4f,%.4f,%.4f\n", reading_s_, volts_v, amps_a));
}

void FilmWriter::AddStep(double time_s, double amps_a, double within_s) {
  if (begun_ && kind_ == FilmKind::kSteps)
    Put(kSteps, Row("%.2f,%.4f,%.2f\n", time_s, amps_a, within_s));
}

void FilmWriter::Put(File file, std::string bytes) {
  {
    const std::lock_guard lock(mutex_);
    waiting_bytes_ += bytes.size();
    waiting_.push_back({file, std::move(bytes)});
    if (waiting_bytes_ > kMostWaiting && problem_.empty()) problem_ = "the disk is too slow";
  }
  wake_.notify_one();
}

void FilmWriter::Fail(const std::string& what) {
  const std::lock_guard lock(mutex_);
  if (problem_.empty()) problem_ = what;
}

void FilmWriter::Write(const Piece& piece) {
  if (!Problem().empty()) return;
  std::string_view left = piece.bytes;
  while (!left.empty()) {
    const ssize_t wrote = ::write(files_[piece.file], left.data(), left.size());
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote <= 0) {
      return Fail((folder_ / kNames[piece.file]).string() + ": " + std::strerror(errno));
    }
    left.remove_prefix(static_cast<std::size_t>(wrote));
  }
}

void FilmWriter::Sync() {
  if (!synced_case_) {
    const int fd = ::open(case_file().c_str(), O_RDONLY | O_CLOEXEC);
    synced_case_ = fd >= 0 && ::fsync(fd) == 0;
    if (fd >= 0) ::close(fd);
  }
  for (const File file : {kTimes, kSupply, kSteps, kFrames}) {
    if (files_[file] < 0 || Synced(::fdatasync(files_[file]))) continue;
    Fail((folder_ / kNames[file]).string() + ": " + std::strerror(errno));
  }
}

void FilmWriter::Work() {
  std::unique_lock lock(mutex_);
  while (true) {
    wake_.wait(lock, [this] { return ends_ || !waiting_.empty(); });
    while (!waiting_.empty()) {
      const Piece piece = std::move(waiting_.front());
      waiting_.pop_front();
      waiting_bytes_ -= piece.bytes.size();
      busy_ = true;
      lock.unlock();
      Write(piece);
      lock.lock();
      busy_ = false;
    }
    idle_.notify_all();
    if (ends_) return;
  }
}

// Apart from the writing: a busy disk may take seconds, and what was written survives the
// recorder's own death without it.
void FilmWriter::SyncAgain() {
  std::unique_lock lock(mutex_);
  while (!end_.wait_for(lock, kSyncEvery, [this] { return ends_; })) {
    if (!begun_) continue;
    lock.unlock();
    Sync();
    lock.lock();
  }
}

void FilmWriter::Flush() {
  std::unique_lock lock(mutex_);
  idle_.wait(lock, [this] { return waiting_.empty() && !busy_; });
}

std::string FilmWriter::Problem() {
  const std::lock_guard lock(mutex_);
  return problem_;
}

void FilmWriter::Finish() {
  if (!begun_) return;
  Flush();
  Sync();
  if (const std::string problem = Problem(); !problem.empty()) throw OutputError(problem);
  Replace(case_file(), CaseText(false), true);
  if (!FolderToDisk(folder_)) {
    throw OutputError(folder_.string() + ": cannot be brought to the disk (" +
                      std::strerror(errno) + ")");
  }
}

}  // namespace ohmglow::record
