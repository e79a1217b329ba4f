// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/close_up.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "picture/backdrop.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kMostCloseUps = 2;
constexpr double kSmallShare = 1.0 / 20;  // Of the picture's area.
// Half a close-up's side: the neighbours on a dense board, and all of the ring.
constexpr double kHalfMm = 6;
constexpr double kHalfOfRing = 2.2;
constexpr double kHalfOfWidth = 1.0 / 14;  // Where no millimetres are known.
constexpr double kLeastRing = 0.6;         // Of a badge's radius.
constexpr double kMostBar = 0.25;          // Length of the bar, of the width.
// A part this much larger than its name bears it inside.
constexpr double kRoomForName = 6;
constexpr double kEnoughAir = 0.5;  // To the next part, of the most that a place has.
constexpr Color kOutline{1, 1, 1, 0.95};
constexpr Color kNamePaper{0.05, 0.05, 0.06, 0.72};

BoardSide Opposite(BoardSide side) {
  return side == BoardSide::kTop ? BoardSide::kBottom : BoardSide::kTop;
}

// A square around a point, moved into the picture.
cv::Rect SquareAround(Point center, double half_px, cv::Size size) {
  const int side = std::min({cvRound(2 * half_px), size.width, size.height});
  const int x = std::clamp(cvRound(center.x - 0.5 * side), 0, size.width - side);
  const int y = std::clamp(cvRound(center.y - 0.5 * side), 0, size.height - side);
  return {x, y, side, side};
}

std::vector<Point> Corners(const Part& part) {
  const Point half(0.5 * part.width_mm, 0.5 * part.height_mm);
  const Point c = part.center_mm;
  return {c - half, {c.x + half.x, c.y - half.y}, c + half, {c.x - half.x, c.y + half.y}, c - half};
}

TextStyle NameStyle(const TypeSizes& sizes) { return {0.85 * sizes.card_px, true, kPaper, 1}; }

cv::Rect2d NameBox(const PartOutline& part, const TypeSizes& sizes) {
  const cv::Size2d size = Canvas::Measure(part.name, 0, NameStyle(sizes));
  const double margin = 0.25 * sizes.card_px;
  return {part.name_at.x - 0.5 * size.width - margin,
          part.name_at.y - 0.5 * size.height,
          size.width + 2 * margin,
          size.height};
}

cv::Rect2d AroundOf(Point center, double radius_px) {
  return {center.x - radius_px, center.y - radius_px, 2 * radius_px, 2 * radius_px};
}

cv::Rect2d BodyOf(const PartOutline& part) {
  return cv::boundingRect(std::vector<cv::Point2f>(part.corners.begin(), part.corners.end()));
}

double DistanceFrom(const cv::Rect2d& body, Point at) {
  return std::hypot(std::max({body.x - at.x, at.x - body.br().x, 0.0}),
                    std::max({body.y - at.y, at.y - body.br().y, 0.0}));
}

// Where a name may stand: in the middle of a large part, else around a small one.
std::vector<Point> NamePlaces(const PartOutline& part, const TypeSizes& sizes) {
  const cv::Rect2d body =
      cv::boundingRect(std::vector<cv::Point2f>(part.corners.begin(), part.corners.end()));
  const cv::Size2d name = NameBox(part, sizes).size();
  const Point middle = part.name_at;
  const double gap = 0.2 * sizes.card_px;
  if (body.area() > kRoomForName * name.area() && body.width > 1.2 * name.width) {
    return {middle};
  }
  return {{middle.x, body.y - 0.5 * name.height - gap},
          {middle.x, body.br().y + 0.5 * name.height + gap},
          {body.br().x + 0.5 * name.width + gap, middle.y},
          {body.x - 0.5 * name.width - gap, middle.y}};
}

// In a corner of the box, rather where no part lies.
void PlaceBar(CloseUp& close_up,
              double px_per_mm,
              const std::vector<cv::Rect2d>& marked,
              const TypeSizes& sizes,
              const Words& words) {
  const cv::Rect2d box(close_up.box);
  const LengthBar bar = MakeLengthBar(px_per_mm, kMostBar * box.width, sizes, words);
  std::vector<cv::Rect2d> taken = marked;
  for (const PartOutline& part : close_up.parts) taken.push_back(BodyOf(part));
  close_up.bar = PutBar(bar, box, taken, sizes);
  if (!close_up.bar) close_up.bar = PutBar(bar, box, marked, sizes);
}

using Hidden = std::function<double(const cv::Rect2d& name)>;

// Among the places that are free: with air to other parts, as a name between two is read as
// either's, and where it hides the least. Empty where none is free.
std::optional<Point> NamePlace(const CloseUp& close_up,
                               PartOutline part,
                               const std::vector<cv::Rect2d>& taken,
                               const TypeSizes& sizes,
                               const Hidden& hidden) {
  struct Place {
    Point at;
    double air = 0;
    double hidden = 0;
  };
  std::vector<Place> places;
  double most_air = 0;
  for (const Point at : NamePlaces(part, sizes)) {
    part.name_at = at;
    const cv::Rect2d box = NameBox(part, sizes);
    const auto meets = [&](const cv::Rect2d& other) { return (box & other).area() > 0; };
    const bool inside = (box & cv::Rect2d(close_up.box)).area() > 0.999 * box.area();
    if (!inside || std::any_of(taken.begin(), taken.end(), meets)) continue;
    Place place{at, std::numeric_limits<double>::infinity(), hidden(box)};
    for (const PartOutline& other : close_up.parts) {
      if (other.corners != part.corners) {
        place.air = std::min(place.air, DistanceFrom(BodyOf(other), at));
      }
    }
    most_air = std::max(most_air, place.air);
    places.push_back(place);
  }
  std::erase_if(places, [&](const Place& place) { return place.air < kEnoughAir * most_air; });
  const auto best =
      std::min_element(places.begin(), places.end(), [](const Place& a, const Place& b) {
        return std::pair(a.hidden, -a.air) < std::pair(b.hidden, -b.air);
      });
  return best == places.end() ? std::nullopt : std::optional(best->at);
}

// The nearest to the place are named first; names that would cover the place, the
// badge or another name are left out.
void PlaceNames(CloseUp& close_up,
                std::vector<cv::Rect2d> taken,
                const TypeSizes& sizes,
                const Hidden& hidden) {
  std::sort(close_up.parts.begin(),
            close_up.parts.end(),
            [&](const PartOutline& a, const PartOutline& b) {
              return cv::norm(a.name_at - close_up.mark.center) <
                     cv::norm(b.name_at - close_up.mark.center);
            });
  for (PartOutline& part : close_up.parts) {
    if (const auto at = NamePlace(close_up, part, taken, sizes, hidden)) {
      part.name_at = *at;
      taken.push_back(NameBox(part, sizes));
    } else {
      part.name.clear();
    }
  }
}

// The parts of the place's side that reach into the box.
template <typename OntoCanvas>
void AddParts(CloseUp& out,
              const LocateResult& result,
              const PictureMap& map,
              const std::vector<Part>& parts,
              const OntoCanvas& onto_canvas) {
  const Candidate& place = result.candidates[static_cast<std::size_t>(out.rank - 1)];
  out.other_side = place.side == HeatSide::kFar;
  const BoardSide side = out.other_side ? Opposite(result.side) : result.side;
  const PlaneMap frame_from_board = result.maps.board_from_frame->Inverse();
  for (const Part& part : parts) {
    if (part.side != side) continue;
    PartOutline outline;
    outline.name = CleanText(part.ref, 12);
    for (const Point corner_mm : Corners(part)) {
      outline.corners.push_back(
          onto_canvas(map.picture_from_frame.Apply(frame_from_board.Apply(corner_mm))));
    }
    outline.name_at = 0.5 * (outline.corners[0] + outline.corners[2]);
    if ((BodyOf(outline) & cv::Rect2d(out.box)).area() > 0) out.parts.push_back(std::move(outline));
  }
}

}  // namespace

std::vector<Mark> WorthEnlarging(const std::vector<Mark>& marks, cv::Size picture_size_px) {
  std::vector<Mark> worth;
  for (const Mark& mark : marks) {
    const double share = CV_PI * mark.radius_px * mark.radius_px / picture_size_px.area();
    if (!mark.drawn() || !mark.may_be_fault || share >= kSmallShare) continue;
    if (worth.size() < kMostCloseUps) worth.push_back(mark);
  }
  return worth;
}

CloseUp LayOutCloseUp(const LocateResult& result,
                      const PictureMap& map,
                      cv::Size picture_size_px,
                      const Mark& mark,
                      cv::Rect box,
                      const std::vector<Part>& parts,
                      const PictureDetail& detail,
                      const TypeSizes& sizes,
                      const Words& words) {
  CloseUp out;
  out.rank = mark.rank;
  out.box = box;
  const auto px_per_mm = PixelsPerMillimetre(result, map, picture_size_px);
  const double half_px =
      std::max(px_per_mm ? kHalfMm * *px_per_mm : kHalfOfWidth * picture_size_px.width,
               kHalfOfRing * std::max(mark.area_px, mark.radius_px));
  out.source = SquareAround(mark.center, half_px, picture_size_px);
  const double enlarge = static_cast<double>(box.width) / out.source.width;
  const auto onto_canvas = [&](Point p) {
    return (p - Point(out.source.tl())) * enlarge + Point(box.tl());
  };
  out.mark = mark;
  out.mark.center = onto_canvas(mark.center);
  out.mark.area_px = enlarge * mark.area_px;
  out.mark.radius_px =
      std::clamp(out.mark.area_px, kLeastRing * sizes.badge_radius_px, 0.48 * box.width);
  // In the corner that is farthest from the place.
  const double in = 1.3 * sizes.badge_radius_px;
  const Point middle = 0.5 * (Point(box.tl()) + Point(box.br()));
  out.mark.badge = {out.mark.center.x > middle.x ? box.x + in : box.br().x - in,
                    out.mark.center.y > middle.y ? box.y + in : box.br().y - in};
  if (result.maps.board_from_frame) AddParts(out, result, map, parts, onto_canvas);
  if (out.other_side && !out.parts.empty()) out.caption = words.Get("overlay.other_side");
  const cv::Rect2d badge = AroundOf(out.mark.badge, sizes.badge_radius_px);
  if (px_per_mm) {
    const cv::Rect2d ring = AroundOf(out.mark.center, out.mark.radius_px + 2 * sizes.line_px);
    PlaceBar(out, *px_per_mm * enlarge, {badge, ring}, sizes, words);
  }
  std::vector<cv::Rect2d> taken{badge, AroundOf(out.mark.center, 0.4 * sizes.card_px)};
  if (out.bar) taken.push_back(out.bar->paper);
  // How much of what is printed there a name would hide.
  const auto hidden = [&](const cv::Rect2d& name) {
    const auto onto_picture = [&](Point p) {
      return (p - Point(box.tl())) * (1 / enlarge) + Point(out.source.tl());
    };
    const double radius = 0.5 * name.height;
    const double y = name.y + radius;
    return detail.Along(onto_picture({name.x + radius, y}),
                        onto_picture({name.br().x - radius, y}),
                        radius / enlarge);
  };
  PlaceNames(out, taken, sizes, hidden);
  return out;
}

double CaptionHeight(const CloseUp& close_up, const TypeSizes& sizes) {
  return close_up.caption.empty() ? 0 : 1.7 * sizes.card_px;
}

void DrawCloseUp(Canvas& canvas,
                 const CloseUp& close_up,
                 const cv::Mat& picture,
                 const TypeSizes& sizes) {
  cv::Mat enlarged;
  cv::resize(picture(close_up.source), enlarged, close_up.box.size(), 0, 0, cv::INTER_CUBIC);
  canvas.PutImage(enlarged, close_up.box.x, close_up.box.y);
  canvas.Clip(close_up.box);
  for (const PartOutline& part : close_up.parts) {
    Stroke line{kOutline, sizes.line_px, {}};
    if (close_up.other_side) line.dash_px = {3 * sizes.line_px, 2 * sizes.line_px};
    canvas.Line(part.corners, {kHalo, 2.2 * sizes.line_px, {}});
    canvas.Line(part.corners, line);
  }
  DrawRings(canvas, {close_up.mark}, sizes);
  for (const PartOutline& part : close_up.parts) {
    if (part.name.empty()) continue;
    canvas.FillBox(NameBox(part, sizes), kNamePaper);
    canvas.TextCentred(part.name, part.name_at, NameStyle(sizes));
  }
  if (close_up.bar) DrawBar(canvas, *close_up.bar, sizes);
  canvas.Unclip();
  const cv::Rect2d rim(close_up.box);
  canvas.Line({rim.tl(), {rim.br().x, rim.y}, rim.br(), {rim.x, rim.br().y}, rim.tl()},
              {kInk, sizes.line_px, {}});
  DrawBadge(canvas, close_up.mark.badge, close_up.rank, true, sizes);
  const double y = close_up.box.br().y + 0.4 * sizes.card_px;
  canvas.Text(close_up.caption,
              {rim.x, y, rim.width, 1.5 * sizes.card_px},
              {0.85 * sizes.card_px, false, kSoftInk, 1});
}

}  // namespace ohmglow::internal
