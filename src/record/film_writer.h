// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <condition_variable>
#include <cstddef>
#include <deque>
#include <filesystem>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "record/board_text.h"
#include "record/frame_feed.h"
#include "record/guard.h"

namespace ohmglow::record {

/// How the supply's course is known.
enum class FilmKind {
  kOneClock,   ///< Readings of the clock that times the frames.
  kTwoClocks,  ///< Readings of another clock: its offset is to be found.
  kSteps,      ///< Currents that were asked for, at about known times.
};

/// @throws OutputError  where something is there already, or its parent is not.
void RequireNewFolder(const std::filesystem::path& folder);

/// Writes a case folder while it is filmed: at each moment it reads as a case. Frames and
/// rows are appended by a thread of its own, so that a slow disk does not hold up the
/// guards, and brought to the disk by another every second.
class FilmWriter {
 public:
  /// Makes the folder and copies the board's files; case.ini comes with the first frame.
  /// @throws OutputError  where `folder` is there and not empty, or cannot be written.
  FilmWriter(const std::filesystem::path& folder, BoardText board, FilmKind kind);
  ~FilmWriter();
  FilmWriter(const FilmWriter&) = delete;
  FilmWriter& operator=(const FilmWriter&) = delete;

  /// @param time_s  since the start of the recording.
  void AddFrame(double time_s, const cv::Mat& counts);
  void AddReading(double time_s, double volts_v, double amps_a);
  /// By hand: a current that was asked for, at about that time.
  void AddStep(double time_s, double amps_a, double within_s);
  /// Waits for the disk and writes the final case.ini.
  /// @throws OutputError
  void Finish();

  /// What went wrong with the disk; empty: nothing. Also where it falls behind. Nothing is
  /// written after it: what follows a torn frame would be read wrong.
  [[nodiscard]] std::string Problem();
  /// Everything that was added so far can be read by others.
  void Flush();
  [[nodiscard]] std::filesystem::path case_file() const { return folder_ / "case.ini"; }
  [[nodiscard]] bool begun() const { return begun_; }
  [[nodiscard]] const std::vector<double>& times_s() const { return times_s_; }

 private:
  enum File { kFrames, kTimes, kSupply, kSteps, kNumFiles };
  struct Piece {
    File file;
    std::string bytes;
  };

  void Begin(const cv::Mat& counts);
  [[nodiscard]] std::string CaseText(bool growing) const;
  void Put(File file, std::string bytes);
  void Work();
  void SyncAgain();
  void Write(const Piece& piece);
  void Sync();
  void Fail(const std::string& what);

  std::filesystem::path folder_;
  BoardText board_;
  cv::Size size_px_;
  int depth_ = 0;
  std::atomic<bool> begun_ = false;  // The files are open.
  std::atomic<bool> synced_case_{false};
  FilmKind kind_;
  std::vector<double> times_s_;
  double reading_s_ = -1;  // Of the last row of the log.
  int files_[kNumFiles] = {-1, -1, -1, -1};

  std::mutex mutex_;
  std::condition_variable wake_;
  std::condition_variable idle_;
  std::deque<Piece> waiting_;
  std::size_t waiting_bytes_ = 0;
  bool busy_ = false;
  bool ends_ = false;
  std::string problem_;
  std::condition_variable end_;
  std::thread thread_;
  std::thread sync_thread_;
};

}  // namespace ohmglow::record
