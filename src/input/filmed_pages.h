// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <memory>

#include "count_pages.h"

namespace ohmglow {

/// A recording that is still being written, or that broke off: raw frames, and a table
/// index,time_s to which a row was added for each. Either may be ahead of the other, and
/// the last row or frame torn: as many count as both hold whole.
/// @param format  with the frames' size; offset and gap have no meaning here.
/// @throws InputError  where there is not one whole frame with a time.
[[nodiscard]] std::unique_ptr<CountPages> OpenFilmed(const std::filesystem::path& source,
                                                     const std::filesystem::path& times,
                                                     const FrameFormat& format);

}  // namespace ohmglow
