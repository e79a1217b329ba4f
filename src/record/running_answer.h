// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <utility>

#include "ohmglow/locate.h"
#include "ohmglow/result.h"
#include "record/film_so_far.h"
#include "record/session.h"

namespace ohmglow::record {

/// Before that nothing has been stepped often enough for a first answer.
inline constexpr double kFirstAnswerS = 12;

/// What the frames so far say; see RunningAnswer.
struct Answer {
  std::optional<LocateResult> result;  ///< Empty where nothing can be said yet.
  std::string why_not;
  int frames = 0;     ///< So many were there,
  int looked_at = 0;  ///< and so many means of them were looked at.
  double took_s = 0;
};

[[nodiscard]] AnswerView ViewOf(const LocateResult& result);

/// Looks at a case folder as it is now, the way locate does, on the film made small.
/// @param film  what the looks before have read.
/// @param stop  set by another thread: gives up soon, with an empty answer.
[[nodiscard]] Answer LookAt(const std::filesystem::path& case_file,
                            const LocateOptions& options,
                            FilmSoFar& film,
                            const std::atomic<bool>& stop);

/// The same by a thread of its own that leaves the processor to the recorder.
class RunningAnswer {
 public:
  using Look = std::function<Answer(
      const std::filesystem::path&, const LocateOptions&, FilmSoFar&, const std::atomic<bool>&)>;

  /// @param look  whatever it throws is an answer that says nothing.
  explicit RunningAnswer(LocateOptions options, Look look = LookAt)
      : options_(std::move(options)), look_(std::move(look)) {}
  ~RunningAnswer();
  RunningAnswer(const RunningAnswer&) = delete;
  RunningAnswer& operator=(const RunningAnswer&) = delete;

  /// Begins a look; not while one is under way.
  void Start(const std::filesystem::path& case_file);
  [[nodiscard]] bool busy() const { return busy_; }
  /// The answer that came last, once.
  [[nodiscard]] std::optional<Answer> Take();

 private:
  LocateOptions options_;
  Look look_;
  FilmSoFar film_;  // Of the thread.
  std::thread thread_;
  std::atomic<bool> busy_{false};
  std::atomic<bool> stop_{false};
  std::mutex mutex_;
  std::optional<Answer> answer_;
};

}  // namespace ohmglow::record
