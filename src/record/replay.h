// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>

#include "ohmglow/locate.h"
#include "record/film_writer.h"
#include "record/record_words.h"

namespace ohmglow::record {

struct ReplayOptions {
  LocateOptions locate;
  std::optional<double> until;
  double answer_every_s = 3;
  Words words = RecordWords();
  double speed = 1;  ///< Seconds of the film in one of the clock.
};

/// A film that is there already, frame by frame at its own times, as if it were filmed now:
/// no supply, no guards; written anew and looked at while it comes.
/// @return  whether it ended because the answer was sure.
/// @throws InputError
bool Replay(const ReplayOptions& options,
            const std::filesystem::path& case_file,
            const std::filesystem::path& out,
            const std::function<void(const std::string&)>& say);

}  // namespace ohmglow::record
