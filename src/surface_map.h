// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "heat/response.h"
#include "ohmglow/align/board_maps.h"
#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// What a rise at each pixel of the reference frame has to be multiplied by,
/// since its surface has another emissivity than the case's; empty where no region
/// says so, or none can be placed.
///
/// What is reflected does not change with the supply. So of the measurement equation
/// W(seen) = t (e W(object) + (1 - e) W(reflected)) + (1 - t) W(window) a small rise keeps
/// W'(seen) d seen = t e W'(object) d object: frames that were read with the case's
/// emissivity show e / e_case of it. Exact to first order; the two slopes W' are taken as
/// one, which for a board 10 K above the room and e = 0.2 is right to 9 %.
/// The picture of e is as soft at its edges as the camera's, so that a rise across
/// an edge is scaled by what each pixel saw of either surface.
/// Source: Usamentiaga et al., Sensors 14 (2014) 12305-12348, eq. of the measured radiation.
[[nodiscard]] Image RiseGain(const Case& job, const BoardMaps& maps, cv::Size frame_px);

/// Says where regions in millimetres lie nowhere, and what to give; else empty.
[[nodiscard]] Remark RemarkOnRegions(const Case& job, const BoardMaps& maps);

/// Makes the rises of `response` those of the objects. The detector stays as it is: a
/// place stands out by signal over noise, of which emissivity takes as much of both,
/// and what drifts all over the picture would show every region as one that warms.
void ScaleRises(const Image& gain, Response& response);

/// Widens the intervals of watts at places whose emissivity was told: such numbers are known to
/// 0.03 (common practice, no source), which of a shiny one is much.
void DoubtEmissivity(const Case& job, const Image& gain, LocateResult& result);

/// Temperatures that were read with the case's emissivity, read with the regions'.
/// W(object) = W(reflected) + gain (W(read) - W(reflected)), from the equation above.
/// Does nothing where nobody told the reflected temperature.
void ReadWithRegions(const Case& job, const Image& gain, Image& picture_k);

}  // namespace ohmglow
