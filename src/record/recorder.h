// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "ohmglow/locate.h"
#include "record/film_writer.h"
#include "record/frame_feed.h"
#include "record/guardian.h"
#include "record/record_words.h"
#include "record/running_answer.h"
#include "record/session.h"

namespace ohmglow::record {

/// What the recorder tells while it runs; the caller shows it.
struct RecorderView {
  std::function<void(const std::string& line)> say;
  /// By hand: turn to this now. 0 A: output off.
  std::function<void(double amps_a)> turn;
};

struct RecorderOptions {
  SessionOptions session;
  LocateOptions locate;
  double answer_every_s = 3;  ///< At most so often.
  Words words = RecordWords();
};

struct RecordingEnd {
  std::optional<Trip> trip;
  bool enough = false;
  bool off_read_back = false;  ///< The supply said that its output is off; by hand: false.
  double off_s = 0;            ///< From the order to that answer.
  FilmRate film;
};

/// Films, steps the supply and looks at the frames so far, until the pattern is over, the
/// answer sure, or a guard or a signal (SIGINT, SIGTERM, SIGHUP) stops it. These signals
/// must be blocked in the caller.
/// @param guardian  nothing: by hand.
/// @throws OutputError, InputError  once the output is off.
RecordingEnd Record(const RecorderOptions& options,
                    const std::filesystem::path& board_file,
                    FrameFeed& feed,
                    Guardian* guardian,
                    FilmWriter& writer,
                    const RecorderView& view);

}  // namespace ohmglow::record
