// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <sys/inotify.h>
#include <unistd.h>

#include <algorithm>
#include <cstdint>
#include <exception>
#include <set>
#include <utility>

#include "input/frame_files.h"
#include "ohmglow/base/error.h"
#include "record/frame_feed.h"
#include "record/link.h"

namespace ohmglow::record {
namespace {

constexpr double kRetryS = 0.3;
constexpr double kListEveryS = 1;  // Where the system tells what is new.
// Else; but a folder so large that listing takes long leaves time for the rest.
constexpr double kListOftenS = 0.015;
constexpr double kListShare = 0.1;

// Names of files in a folder that may be new. The system tells them; where it does not (a
// folder of another computer), the folder is listed.
class NewNames {
 public:
  explicit NewNames(std::filesystem::path folder) : folder_(std::move(folder)) {
    fd_ = ::inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
    if (fd_ < 0) return;
    ::inotify_add_watch(fd_, folder_.c_str(), IN_CREATE | IN_CLOSE_WRITE | IN_MOVED_TO);
  }
  ~NewNames() {
    if (fd_ >= 0) ::close(fd_);
  }
  NewNames(const NewNames&) = delete;
  NewNames& operator=(const NewNames&) = delete;

  [[nodiscard]] int fd() const { return fd_; }

  /// What the system has told since the last call, and now and then all.
  std::vector<std::string> Take() {
    std::vector<std::string> names = Told();
    const double now_s = NowSeconds();
    if (now_s < next_list_s_) return names;
    std::error_code error;
    for (const auto& entry : std::filesystem::directory_iterator(folder_, error)) {
      names.push_back(entry.path().filename().string());
    }
    const double took_s = NowSeconds() - now_s;
    next_list_s_ = now_s + std::max(tells_ ? kListEveryS : kListOftenS, took_s / kListShare);
    return names;
  }

 private:
  std::vector<std::string> Told() {
    std::vector<std::string> names;
    alignas(inotify_event) char bytes[16384];
    for (ssize_t got = 0; fd_ >= 0 && (got = ::read(fd_, bytes, sizeof bytes)) > 0;) {
      for (const char* at = bytes; at < bytes + got;) {
        const auto* const event = reinterpret_cast<const inotify_event*>(at);
        if ((event->mask & IN_Q_OVERFLOW) != 0) next_list_s_ = 0;
        if (event->len > 0) names.emplace_back(event->name);
        at += sizeof(inotify_event) + event->len;
      }
    }
    tells_ = tells_ || !names.empty();
    return names;
  }

  std::filesystem::path folder_;
  int fd_ = -1;
  bool tells_ = false;
  double next_list_s_ = 0;
};

class FolderFeed final : public FrameFeed {
 public:
  FolderFeed(std::filesystem::path folder, FrameFormat format)
      : folder_(std::move(folder)), format_(std::move(format)), names_(folder_) {
    if (!std::filesystem::is_directory(folder_)) {
      throw InputError(folder_.string() +
                       ": is no folder; give --frames - or a folder that is filled");
    }
    for (std::string& name : names_.Take()) done_.insert(std::move(name));
  }

  std::vector<ArrivedFrame> Take() override {
    for (std::string& name : names_.Take()) {
      if (name.starts_with('.') || done_.contains(name)) continue;
      const bool waits = std::any_of(
          waiting_.begin(), waiting_.end(), [&](const Waiting& w) { return w.name == name; });
      if (!waits) waiting_.push_back({std::move(name), 0, false, 0});
    }
    std::sort(waiting_.begin(), waiting_.end(), [](const Waiting& a, const Waiting& b) {
      return NaturalLess(a.name, b.name);
    });
    std::vector<ArrivedFrame> frames;
    std::erase_if(waiting_, [&](Waiting& file) { return IsDone(file, frames); });
    return frames;
  }

  [[nodiscard]] int fd() const override { return names_.fd(); }
  [[nodiscard]] bool ended() const override { return false; }

 private:
  struct Waiting {
    std::string name;
    std::uintmax_t size = 0;
    bool seen = false;
    double broken_s = 0;  // Since when it cannot be read.
  };

  // Read, or gone. A file counts once its size no longer changes.
  bool IsDone(Waiting& file, std::vector<ArrivedFrame>& frames) {
    std::error_code error;
    const auto size = std::filesystem::file_size(folder_ / file.name, error);
    if (error) return !std::filesystem::exists(folder_ / file.name, error);
    const bool still = file.seen && file.size == size && size > 0;
    file.size = size;
    file.seen = true;
    if (!still || !TryRead(file, frames)) return false;
    done_.insert(file.name);
    return true;
  }

  // A writer may pause in the midst of a file: what cannot be read is tried again for a while.
  bool TryRead(Waiting& file, std::vector<ArrivedFrame>& frames) {
    try {
      frames.push_back(Read(file.name));
      return true;
    } catch (const std::exception&) {
      if (file.broken_s == 0) file.broken_s = NowSeconds();
      if (NowSeconds() - file.broken_s > kRetryS) throw;
      return false;
    }
  }

  ArrivedFrame Read(const std::string& name) {
    const auto pages = OpenCountFile(ByteSource(folder_ / name, "--frames"), format_);
    cv::Mat counts;
    pages->Read(0, counts);
    counts = Cropped(std::move(counts), format_);
    if (counts.channels() != 1)
      throw InputError(name + ": is a picture in colours, no temperatures");
    if (size_px_.empty()) {
      size_px_ = counts.size();
      depth_ = counts.depth();
    }
    if (counts.size() != size_px_ || counts.depth() != depth_) {
      throw InputError(name + ": is unlike the frames before; keep one camera's frames there");
    }
    last_s_ = std::max(NowSeconds(), last_s_ + kLeastStepS);
    return {last_s_, counts.clone()};
  }

  std::filesystem::path folder_;
  FrameFormat format_;
  NewNames names_;
  std::set<std::string> done_;
  std::vector<Waiting> waiting_;
  cv::Size size_px_;
  int depth_ = CV_16U;
  double last_s_ = 0;
};

}  // namespace

std::unique_ptr<FrameFeed> FeedFromFolder(const std::filesystem::path& folder,
                                          const FrameFormat& format) {
  return std::make_unique<FolderFeed>(folder, format);
}

}  // namespace ohmglow::record
