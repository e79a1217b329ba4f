// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "sheet/sheet_pictures.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "picture/backdrop.h"
#include "picture/heat_picture.h"
#include "sheet/photo_view.h"
#include "sheet/sheet_phrases.h"

namespace ohmglow::internal {
namespace {

// 300 dots an inch of the largest size on the page, about.
constexpr double kMostPhotoPx = 1200;
constexpr double kMostLogoPx = 400;
constexpr int kThermalWidthPx = 640;
constexpr int kBarWidthPx = 8;
constexpr int kBarHeightPx = 256;
constexpr double kLeastAspect = 0.35;
constexpr double kNearlyAllSeen = 0.98;

cv::Mat AtMost(const cv::Mat& bgr, double most_px) {
  const double longest = std::max(bgr.cols, bgr.rows);
  if (longest <= most_px) return bgr.clone();
  const auto side = [&](int px) {
    return std::max(1, static_cast<int>(std::lround(px * most_px / longest)));
  };
  cv::Mat small;
  cv::resize(bgr, small, {side(bgr.cols), side(bgr.rows)}, 0, 0, cv::INTER_AREA);
  return small;
}

// Extreme strips get a rim of paper, so that marks find room on it.
cv::Mat Padded(const cv::Mat& bgr) {
  const int rows = std::max(bgr.rows, static_cast<int>(std::ceil(kLeastAspect * bgr.cols)));
  const int cols = std::max(bgr.cols, static_cast<int>(std::ceil(kLeastAspect * bgr.rows)));
  cv::Mat padded(rows, cols, CV_8UC3, cv::Scalar::all(255));
  bgr.copyTo(padded(cv::Rect({(cols - bgr.cols) / 2, (rows - bgr.rows) / 2}, bgr.size())));
  return padded;
}

int TimesFor(cv::Size frame_px) {
  return std::max(1, (kThermalWidthPx + frame_px.width - 1) / std::max(frame_px.width, 1));
}

bool IsColour(const cv::Mat& image) { return !image.empty() && image.type() == CV_8UC3; }

// Pixel centres lie at whole numbers.
Point Share(Point at_px, cv::Size size_px) {
  return {(at_px.x + 0.5) / size_px.width, (at_px.y + 0.5) / size_px.height};
}

double RadiusShare(const LocateResult& result, const Candidate& place, cv::Size frame_px) {
  const double width_px = result.mm_per_pixel > 0 && std::isfinite(place.width_mm)
                              ? place.width_mm / result.mm_per_pixel
                              : 0;
  return 0.5 * width_px / std::max(frame_px.width, 1);
}

using Places = std::vector<const Candidate*>;

std::vector<SheetSpot> FrameSpots(const LocateResult& result,
                                  const Places& places,
                                  cv::Size frame_px) {
  std::vector<SheetSpot> spots;
  for (const Candidate* place : places) {
    spots.push_back({static_cast<int>(spots.size()) + 1,
                     Share(place->frame_px, frame_px),
                     RadiusShare(result, *place, frame_px),
                     true});
  }
  return spots;
}

// The photo where all places can be marked on it.
bool CanUsePhoto(const SheetContent& content, const Places& places) {
  return IsColour(content.photo) && std::all_of(places.begin(), places.end(), [](const auto* p) {
           return p->photo_px.has_value();
         });
}

// The heat as the photo shows the board, where it fills enough of it.
std::optional<PhotoView> ViewFor(const SheetContent& content, const cv::Mat& photo) {
  constexpr double kLeastSeen = 0.2;
  const LocateResult& result = content.result;
  if (!result.maps.photo_from_frame || result.frame_size_px.area() <= 0) return std::nullopt;
  const double scale = content.photo_scale * photo.cols / content.photo.cols;
  PhotoView view(result.maps, photo, scale, result.frame_size_px);
  if (view.SeenShare() < kLeastSeen) return std::nullopt;
  return view;
}

std::vector<SheetSpot> PhotoSpots(const SheetContent& content,
                                  const Places& places,
                                  const std::optional<PhotoView>& view) {
  std::vector<SheetSpot> spots;
  const LocateResult& result = content.result;
  for (const Candidate* place : places) {
    const Point at((place->photo_px->x + 0.5) * content.photo_scale - 0.5,
                   (place->photo_px->y + 0.5) * content.photo_scale - 0.5);
    // Without a map: the photo shows about what the frame does.
    const double radius = RadiusShare(result, *place, result.frame_size_px) *
                          (view ? view->SizeOf(place->frame_px) * result.frame_size_px.width : 1);
    spots.push_back(
        {static_cast<int>(spots.size()) + 1, Share(at, content.photo.size()), radius, true});
  }
  return spots;
}

// A picture of the photo's size with its places.
SheetPicture OnPhoto(const cv::Mat& bgr, std::vector<SheetSpot> spots) {
  SheetPicture picture{Padded(bgr), std::move(spots)};
  const cv::Size size_px = picture.bgr.size();
  for (SheetSpot& spot : picture.spots) {
    spot.at_share.x = ((size_px.width - bgr.cols) / 2 + spot.at_share.x * bgr.cols) / size_px.width;
    spot.at_share.y =
        ((size_px.height - bgr.rows) / 2 + spot.at_share.y * bgr.rows) / size_px.height;
    spot.radius_share *= static_cast<double>(bgr.cols) / size_px.width;
  }
  return picture;
}

SheetPicture StaticPicture(const LocateResult& result, const Places& places) {
  SheetPicture picture;
  const cv::Size size = result.reference_k.size();
  picture.spots = FrameSpots(result, places, size);
  cv::Mat grey;
  cv::resize(StaticGrey(result), grey, size * TimesFor(size), 0, 0, cv::INTER_CUBIC);
  cv::cvtColor(grey, picture.bgr, cv::COLOR_GRAY2BGR);
  return picture;
}

// What is left out of the thermal pictures: differences within the noise, but
// never as much as half of a place that the page speaks of.
double NoiseLimit(const LocateResult& result, const Places& places) {
  constexpr double kNoiseSigmas = 5;
  constexpr double kPlaceShare = 0.4;
  if (!(result.noise_response_k > 0) || !std::isfinite(result.noise_response_k)) return 0;
  double limit_k = kNoiseSigmas * result.noise_response_k;
  for (const Candidate* place : places) {
    if (place->rise_k > 0) limit_k = std::min(limit_k, kPlaceShare * place->rise_k);
  }
  return limit_k;
}

// Leaves the values of what stands out and pulls towards zero what does not: a
// customer would take the mottling of noise for warm and cold spots.
Image Calmed(const Image& response_k, double limit_k) {
  constexpr double kBlurPx = 1.2;
  if (limit_k <= 0) return response_k;
  Image smooth = response_k.clone();
  for (float& v : smooth) {
    if (!std::isfinite(v)) v = 0;
  }
  cv::GaussianBlur(smooth, smooth, {}, kBlurPx);
  Image calmed = response_k.clone();
  for (int y = 0; y < calmed.rows; ++y) {
    for (int x = 0; x < calmed.cols; ++x) {
      const double strength = std::pow(smooth(y, x) / limit_k, 4);
      calmed(y, x) *= static_cast<float>(strength / (strength + 1));
    }
  }
  return calmed;
}

/// @param outline_k  static picture of the same view; empty: no outlines.
SheetPicture ThermalPicture(const Image& outline_k,
                            const Image& response_k,
                            const ColorScale& scale) {
  SheetPicture picture;
  const int times = TimesFor(response_k.size());
  picture.bgr = HeatPicture(response_k, scale, times);
  LocateResult outlines;
  outlines.reference_k = outline_k;
  BlendOutlines(picture.bgr, outlines, times);
  return picture;
}

void AddRepair(const SheetContent& content,
               double limit_k,
               const std::optional<PhotoView>& view,
               SheetPictures& pictures) {
  if (!content.repair || content.repair->before_k.empty() || content.repair->after_k.empty())
    return;
  const RepairCheck& repair = *content.repair;
  // Scaled up from a capture that could not have shown the fault, it would be a picture of noise.
  if (repair.verdict == RepairVerdict::kUndecided || repair.only_regions) return;
  const double noise_k = content.result.noise_response_k;
  const Image before_k = Calmed(repair.before_k, limit_k);
  const Image after_k = Calmed(repair.after_k, limit_k);
  pictures.repair_scale = CommonScale(HeatScale(before_k, noise_k), HeatScale(after_k, noise_k));
  const bool as_photo = view && before_k.size() == content.result.frame_size_px;
  const auto make = [&](const Image& response_k) {
    std::vector<SheetSpot> spots;
    for (const RepairCheck::Place& place : repair.places) {
      if (spots.size() == kSheetMarks) break;
      const Point at =
          as_photo ? view->ShareOf(place.frame_px) : Share(place.frame_px, response_k.size());
      spots.push_back({static_cast<int>(spots.size()) + 1, at, 0, !place.is_new});
    }
    if (as_photo) {
      return OnPhoto(view->Draw(response_k, *pictures.repair_scale, true), std::move(spots));
    }
    SheetPicture picture = ThermalPicture(repair.outline_k, response_k, *pictures.repair_scale);
    HatchUnknown(picture.bgr, response_k, TimesFor(response_k.size()));
    picture.spots = std::move(spots);
    return picture;
  };
  pictures.before = make(before_k);
  pictures.after = make(after_k);
}

}  // namespace

SheetPictures MakeSheetPictures(const SheetContent& content) {
  SheetPictures pictures;
  const LocateResult& result = content.result;
  Places places = SheetPhrases::Shown(result);
  places.resize(std::min(places.size(), kSheetMarks));
  if (IsColour(content.shop.logo)) {
    pictures.logo = AtMost(content.shop.logo, kMostLogoPx);
  }
  pictures.board_is_photo = CanUsePhoto(content, places);
  std::optional<PhotoView> view;
  if (pictures.board_is_photo) {
    const cv::Mat photo = AtMost(content.photo, kMostPhotoPx);
    view = ViewFor(content, photo);
    pictures.board = OnPhoto(photo, PhotoSpots(content, places, view));
  } else if (!result.reference_k.empty()) {
    pictures.board = StaticPicture(result, places);
  }
  pictures.heat_as_photo = view.has_value();
  pictures.heat_has_rest = view && view->SeenShare() < kNearlyAllSeen;
  const double limit_k = NoiseLimit(result, places);
  if (!result.response_k.empty()) {
    const Image response_k = Calmed(result.response_k, limit_k);
    pictures.heat_scale = HeatScale(response_k, result.noise_response_k);
    if (view) {
      pictures.heat = OnPhoto(view->Draw(response_k, *pictures.heat_scale, false),
                              PhotoSpots(content, places, view));
    } else {
      pictures.heat = ThermalPicture(result.reference_k, response_k, *pictures.heat_scale);
      pictures.heat.spots = FrameSpots(result, places, response_k.size());
    }
  }
  AddRepair(content, limit_k, view, pictures);
  return pictures;
}

cv::Mat BarPixels(const ColorScale& scale) {
  cv::Mat bgr(kBarHeightPx, kBarWidthPx, CV_8UC3);
  const auto byte = [](double v) { return cv::saturate_cast<unsigned char>(255 * v); };
  for (int y = 0; y < bgr.rows; ++y) {
    const Color c = scale.At(scale.ValueAt(1 - (y + 0.5) / bgr.rows));
    bgr.row(y).setTo(cv::Scalar(byte(c.blue), byte(c.green), byte(c.red)));
  }
  return bgr;
}

}  // namespace ohmglow::internal
