// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <functional>
#include <vector>

#include "cli/result_folder.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/survey.h"
#include "ohmglow/locate.h"
#include "ohmglow/result.h"
#include "ohmglow/words/words.h"

namespace ohmglow::cli {

/// A case and what was found in it; what every command works on.
struct LocatedCase {
  Case job;
  LocateResult result;
};

/// Reads the case and locates; a folder is surveyed, see OpenCase().
/// @param progress  called with the share of the work done; may be empty.
/// @throws Error  see Locate(), LoadCase().
[[nodiscard]] LocatedCase LocateCase(const std::filesystem::path& case_or_folder,
                                     const SurveyChoice& choice,
                                     LocateOptions options,
                                     const std::function<void(double)>& progress);

/// The same for a board of which both sides were filmed; see LocateTwoSided().
[[nodiscard]] LocatedCase LocateBothSides(const std::filesystem::path& case_file,
                                          const std::filesystem::path& other_side,
                                          LocateOptions options,
                                          const std::function<void(double)>& progress);

/// The files of the result folder, result.json last. Notes in
/// `located.result` which pictures stand beside it.
/// @param growth  with the plots and the table of how each place warmed.
/// @param words   of the pictures; the other files are the same in every language.
/// @throws OutputError  where a picture cannot be encoded.
[[nodiscard]] std::vector<ResultFile> MakeLocateFiles(LocatedCase& located,
                                                      bool growth = false,
                                                      const Words& words = Words::Report());

/// Lossless file bytes of a picture (PNG) or a map of kelvin (.tiff, 32 bits).
/// @param name  file name with its extension.
/// @throws OutputError  where it cannot be encoded.
[[nodiscard]] std::string Encode(const cv::Mat& picture, const std::string& name);

}  // namespace ohmglow::cli
