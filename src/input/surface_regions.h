// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/base/clause.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/surface_region.h"

namespace ohmglow {

/// A table of rectangles, a row each: middle and size as
/// frame_x,frame_y,width_px,height_px or as x_mm,y_mm,width_mm,height_mm, then
/// emissivity and perhaps name. A table with both sets of columns fills one in
/// each row. A table without rows is none.
/// @throws InputError  naming row and column.
[[nodiscard]] std::vector<SurfaceRegion> ReadSurfaceRegions(const std::filesystem::path& file,
                                                            std::string_view named_by);

/// The outlines of listed parts whose emissivity a text tells: "can 0.3, SH2 0.15",
/// a part's name or the kind of several. A part's own name counts before its kind.
/// @param where  begin of a message, "case.ini, line 12: surface.parts".
/// @param side   the side in view; parts of the other one do not count.
/// @throws InputError  where a word fits no part in view, or none whose size is known.
[[nodiscard]] std::vector<SurfaceRegion> SurfacesOfParts(const std::string& text,
                                                         const std::string& where,
                                                         const std::vector<Part>& parts,
                                                         BoardSide side);

/// How many places of another emissivity there are, which and what they are called, as clauses.
[[nodiscard]] std::vector<Clause> ListSurfaces(const std::vector<SurfaceRegion>& regions);

/// The same in English: "3 places of another emissivity, 0.15 to 0.3: SH1, X3 and 1 more", half a
/// line.
[[nodiscard]] std::string DescribeSurfaces(const std::vector<SurfaceRegion>& regions);

/// That the watts of these places follow the emissivity that was told.
[[nodiscard]] Remark TellSurfaces(const std::vector<SurfaceRegion>& regions);

}  // namespace ohmglow
