// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <set>
#include <string>
#include <vector>

#include "ohmglow/input/survey.h"
#include "survey/found_file.h"

namespace ohmglow {

/// Which files take which part in a case.
struct Decision {
  std::vector<Setting> settings;
  std::vector<SurveyQuestion> questions;
  std::vector<Setting> set_aside;
};

/// Gives each key that is still free the file for it; two that may be it are a
/// question, not a guess. Pure.
/// @param found  all groups of a folder, none that a case file names already.
/// @param taken  keys that the case file or the user has settled.
[[nodiscard]] Decision Decide(const std::vector<FoundFile>& found,
                              const std::set<std::string>& taken);

/// How a case file names a series: its folder, where that holds nothing else,
/// or a pattern that fits its files alone; where none does, one with *.
/// @param all  names of all files.
[[nodiscard]] std::string NameOfSeries(const FileGroup& group, const std::vector<std::string>& all);

}  // namespace ohmglow
