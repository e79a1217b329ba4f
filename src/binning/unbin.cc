// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "binning/unbin.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/larger_pixels.h"
#include "binning/binning.h"
#include "ohmglow/base/remark_kind.h"
#include "rank/say_scale.h"

namespace ohmglow {
namespace {

PlaneMap Around(const PlaneMap& map, int binning) {
  const PlaneMap to = BinnedFromFrame(binning);
  return {to.Inverse().matrix * map.matrix * to.matrix};
}

void Unbin(int binning, std::vector<Remark>& remarks);

// Some remarks hold pixels of the frames, others pixels of a photo or none.
void Unbin(int binning, Remark& remark) {
  const bool place = remark.kind == RemarkKind::kAtPixel;
  const bool length =
      remark.kind == RemarkKind::kFrameMayBeOff || remark.kind == RemarkKind::kWeakTexture;
  const bool scale =
      remark.kind == RemarkKind::kScaleIsGuess || remark.kind == RemarkKind::kWattsByGuess;
  for (RemarkValue& value : remark.values) {
    Unbin(binning, value.said);
    if (!value.said.empty()) continue;
    if (place) value.number = FromBinned({value.number, 0}, binning).x;
    if (length && value.name == "error_px") value.number *= binning;
    if (scale && value.name == "mm_per_pixel") value.number /= binning;
  }
}

void Unbin(int binning, std::vector<Remark>& remarks) {
  for (Remark& remark : remarks) Unbin(binning, remark);
}

template <typename Values>
Values InSquares(const Values& values, int binning, cv::Size frame_px) {
  if (values.empty()) return {};
  Values out(frame_px);
  for (int y = 0; y < frame_px.height; ++y) {
    for (int x = 0; x < frame_px.width; ++x) {
      out(y, x) =
          values(std::min(y / binning, values.rows - 1), std::min(x / binning, values.cols - 1));
    }
  }
  return out;
}

cv::Mat_<unsigned char> OneOfEachSquare(const cv::Mat_<unsigned char>& faults,
                                        int binning,
                                        cv::Size frame_px) {
  if (faults.empty()) return {};
  cv::Mat_<unsigned char> out(frame_px, static_cast<unsigned char>(0));
  for (int y = 0; y < faults.rows; ++y) {
    for (int x = 0; x < faults.cols; ++x) {
      out(y * binning + binning / 2, x * binning + binning / 2) = faults(y, x);
    }
  }
  return out;
}

void Unbin(int binning, cv::Size binned_px, cv::Size frame_px, FrameState& frame) {
  Unbin(binning, frame.reason);
  frame.residual_px *= binning;
  if (!frame.used) return;
  const PlaneMap motion = Around(ToPlaneMap(frame.frame_from_reference, binned_px), binning);
  const Point middle(0.5 * (frame_px.width - 1), 0.5 * (frame_px.height - 1));
  const Point shift = motion.Apply(middle) - middle;
  frame.frame_from_reference.dx_px = shift.x;
  frame.frame_from_reference.dy_px = shift.y;
  if (frame.projective_from_reference) {
    frame.projective_from_reference = Around(*frame.projective_from_reference, binning);
  }
}

void Unbin(int binning, cv::Size binned_px, cv::Size frame_px, Alignment& alignment) {
  for (FrameState& frame : alignment.frames) Unbin(binning, binned_px, frame_px, frame);
  alignment.good_pixels = InSquares(alignment.good_pixels, binning, frame_px);
  alignment.pattern_k = InSquares(alignment.pattern_k, binning, frame_px);
  alignment.noise_k *= binning;
  alignment.largest_shift_px *= binning;
  alignment.median_residual_px *= binning;
  Unbin(binning, alignment.remarks);
  ScreeningReport& screening = alignment.screening;
  screening.pixel_faults = OneOfEachSquare(screening.pixel_faults, binning, frame_px);
  screening.noise.white_k *= binning;
  for (ExcludedFrame& frame : screening.excluded) Unbin(binning, frame.why);
  for (ScreeningEvent& event : screening.events) Unbin(binning, event.what);
}

void Unbin(int binning, BoardMaps& maps) {
  const PlaneMap binned_from_frame = BinnedFromFrame(binning);
  for (std::optional<PlaneMap>* map : {&maps.photo_from_frame, &maps.board_from_frame}) {
    if (*map) **map = {(*map)->matrix * binned_from_frame.matrix};
  }
  maps.photo_error = maps.photo_error.OfPixels(binning);
  maps.board_error = maps.board_error.OfPixels(binning);
  Unbin(binning, maps.remarks);
}

void Unbin(int binning, Candidate& candidate) {
  candidate.frame_px = FromBinned(candidate.frame_px, binning);
  candidate.sigma_px *= binning;
  if (candidate.peak_px) candidate.peak_px = FromBinned(*candidate.peak_px, binning);
  if (candidate.peak_sigma_px) *candidate.peak_sigma_px *= binning;
  Unbin(binning, candidate.remarks);
}

}  // namespace

PlaneMap BinnedFromFrame(int binning) {
  const double scale = 1.0 / binning;
  const double shift = 0.5 * scale - 0.5;
  return {cv::Matx33d(scale, 0, shift, 0, scale, shift, 0, 0, 1)};
}

Image Unbin(const Image& map, int binning, cv::Size frame_px) {
  if (map.empty() || binning == 1) return map;
  Image squares;
  cv::resize(map, squares, map.size() * binning, 0, 0, cv::INTER_LINEAR);
  // Beside a square without a value interpolation has none, either: there a square's own holds.
  const Mask without(squares != squares);
  if (cv::countNonZero(without) > 0) {
    Image nearest;
    cv::resize(map, nearest, squares.size(), 0, 0, cv::INTER_NEAREST);
    nearest.copyTo(squares, without);
  }
  Image out;
  cv::copyMakeBorder(squares,
                     out,
                     0,
                     frame_px.height - squares.rows,
                     0,
                     frame_px.width - squares.cols,
                     cv::BORDER_REPLICATE);
  return out;
}

void Unbin(const Case& whole, int binning, LocateResult& result) {
  if (binning == 1 || result.frame_size_px.empty()) return;
  const cv::Size frame_px = whole.frames->size_px();
  const cv::Size binned_px = result.frame_size_px;
  result.frame_size_px = frame_px;
  result.binning = binning;
  result.mm_per_pixel /= binning;
  SayScaleOf(result);
  if (!whole.binning) result.assumed.push_back(AssumedBinning(binning));
  Unbin(binning, binned_px, frame_px, result.alignment);
  Unbin(binning, result.maps);
  result.noise_per_frame_k *= binning;
  Unbin(binning, result.supply_remarks);
  Unbin(binning, result.verdict_reason);
  for (Candidate& candidate : result.candidates) Unbin(binning, candidate);
  Unbin(binning, result.advice);
  for (Image* map :
       {&result.reference_k, &result.response_k, &result.snr, &result.power_w, &result.limit_w}) {
    *map = Unbin(*map, binning, frame_px);
  }
}

}  // namespace ohmglow
