// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/image.h"

namespace ohmglow {

/// One static thermal picture and which of its pixels count.
struct StaticView {
  Image picture_k;
  Mask seen;
};

}  // namespace ohmglow
