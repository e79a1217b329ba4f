// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "photo.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "photo_camera.h"
#include "random.h"

namespace ohmglow::simulate {
namespace {

constexpr int kShift = 4;  // Fractional bits of drawn corners.

const cv::Scalar kBenchColor(132, 128, 122);
const cv::Scalar kMetal(196, 204, 208);
const cv::Scalar kGold(120, 190, 220);
const cv::Scalar kSilk(232, 236, 236);
const cv::Scalar kMould(44, 42, 42);

class PhotoPainter {
 public:
  PhotoPainter(const Board& board, const Scenario& s, const View& view)
      : board_(board), s_(s), view_(view), photo_from_board_(FrameFromBoard(view)) {
    photo_ = cv::Mat(view.size_px, CV_8UC3, kBenchColor);
  }

  cv::Mat Draw() {
    const bool green = s_.board_color == "green";
    const cv::Scalar mask = green ? cv::Scalar(52, 92, 28) : cv::Scalar(116, 62, 24);
    copper_ = green ? cv::Scalar(72, 124, 44) : cv::Scalar(150, 88, 40);
    Quad({0.6, 0.8, board_.width_mm, board_.height_mm}, kBenchColor * 0.6);
    Quad({0, 0, board_.width_mm, board_.height_mm}, mask);
    DrawCopper();
    for (const auto& hole : board_.holes) {
      Disc(hole.center_mm, hole.size_mm / 2, kGold);
      Disc(hole.center_mm, 1.6, kBenchColor * 0.8);
    }
    for (const auto& pad : board_.pads) {
      if (pad.top == s_.top()) Quad(Square(pad.center_mm, pad.size_mm), kMetal);
    }
    for (const auto& part : board_.parts) {
      if (part.top == s_.top()) DrawBody(part);
    }
    for (const auto& part : board_.parts) {
      if (part.top == s_.top()) Label(part);
    }
    if (s_.photo_clutter > 0) PrintClutter();
    return photo_;
  }

 private:
  static cv::Rect2d Square(Point c, double size) {
    return {c.x - size / 2, c.y - size / 2, size, size};
  }

  cv::Point Fixed(Point board_mm) const {
    const Point p = photo_from_board_.Apply(board_mm);
    return {static_cast<int>(std::lround(p.x * (1 << kShift))),
            static_cast<int>(std::lround(p.y * (1 << kShift)))};
  }

  std::vector<cv::Point> Corners(const cv::Rect2d& r) const {
    return {Fixed(r.tl()), Fixed({r.br().x, r.y}), Fixed(r.br()), Fixed({r.x, r.br().y})};
  }

  void Quad(const cv::Rect2d& box_mm, const cv::Scalar& color) {
    cv::fillConvexPoly(photo_, Corners(box_mm), color, cv::LINE_AA, kShift);
  }

  void Outline(const cv::Rect2d& box_mm, const cv::Scalar& color) {
    cv::polylines(photo_, Corners(box_mm), true, color, 1, cv::LINE_AA, kShift);
  }

  void Disc(Point center_mm, double radius_mm, const cv::Scalar& color) {
    const double radius_px = radius_mm / view_.mm_per_pixel;
    cv::circle(photo_,
               Fixed(center_mm),
               static_cast<int>(std::lround(radius_px * (1 << kShift))),
               color,
               cv::FILLED,
               cv::LINE_AA,
               kShift);
  }

  // Pours show a little through the mask, tracks more; both end in a via.
  void DrawCopper() {
    const int layer = s_.top() ? 0 : 3;
    const auto& copper = board_.copper[static_cast<std::size_t>(layer)];
    for (int y = 0; y < copper.rows; ++y) {
      for (int x = 0; x < copper.cols;) {
        int end = x;
        while (end < copper.cols && copper(y, end) == copper(y, x)) ++end;
        if (copper(y, x) > 0.5F) {
          const cv::Rect2d run(x * kCellMm, y * kCellMm, (end - x) * kCellMm, kCellMm);
          cv::fillConvexPoly(photo_, Corners(run), copper_ * 0.86, cv::LINE_8, kShift);
        }
        x = end;
      }
    }
    for (const auto& track : board_.tracks) {
      if (track.layer != layer) continue;
      Quad(track.box_mm, copper_);
      const bool flat = track.box_mm.width > track.box_mm.height;
      const double half = 0.5 * std::min(track.box_mm.width, track.box_mm.height);
      const Point first = track.box_mm.tl() + cv::Point2d(half, half);
      const Point last = track.box_mm.br() - cv::Point2d(half, half);
      Disc(flat ? first : last, 0.45, kGold);
      Disc(flat ? first : last, 0.2, cv::Scalar(30, 30, 30));
    }
  }

  void Ends(const cv::Rect2d& b, double share) {
    if (b.width >= b.height) {
      Quad({b.x, b.y, share * b.width, b.height}, kMetal);
      Quad({b.x + (1 - share) * b.width, b.y, share * b.width, b.height}, kMetal);
    } else {
      Quad({b.x, b.y, b.width, share * b.height}, kMetal);
      Quad({b.x, b.y + (1 - share) * b.height, b.width, share * b.height}, kMetal);
    }
  }

  void Circuit(const cv::Rect2d& b) {
    for (double x = b.x + 0.5; x < b.br().x - 0.5; x += 0.5) {
      Quad({x, b.y, 0.25, b.height}, kMetal);
    }
    for (double y = b.y + 0.5; y < b.br().y - 0.5; y += 0.5) Quad({b.x, y, b.width, 0.25}, kMetal);
    Quad({b.x + 0.3, b.y + 0.3, b.width - 0.6, b.height - 0.6}, kMould);
    Disc(b.tl() + cv::Point2d(0.8, 0.8), 0.22, kMould * 1.8);
  }

  void DrawBody(const BoardPart& part) {
    const auto& b = part.box_mm;
    Quad(b + cv::Point2d(0.2, 0.3), copper_ * 0.45);
    switch (part.kind) {
      case PartKind::kChip:
        Quad(b, cv::Scalar(98, 142, 176));
        Ends(b, 0.25);
        break;
      case PartKind::kResistor:
        Quad(b, cv::Scalar(36, 34, 34));
        Ends(b, 0.25);
        break;
      case PartKind::kCircuit:
        Circuit(b);
        break;
      case PartKind::kTransistor:
        Quad({b.x + 0.5, b.y, b.width - 1, 0.8}, kMetal);
        for (int k = 0; k < 4; ++k) Quad({b.x + 0.5 + 1.25 * k, b.br().y - 0.6, 0.5, 0.6}, kMetal);
        Quad({b.x, b.y + 0.6, b.width, b.height - 1.1}, kMould);
        break;
      case PartKind::kInductor:
        Quad(b, cv::Scalar(92, 88, 86));
        Quad({b.x + 0.3, b.y + 0.3, b.width - 0.6, b.height - 0.6}, cv::Scalar(78, 74, 72));
        break;
      case PartKind::kConnector:
        Quad(b, cv::Scalar(52, 50, 46));
        for (double y = b.y + 1; y < b.br().y - 0.5; y += 2) {
          for (double x = b.x + 1; x < b.br().x - 0.5; x += 2) Quad({x, y, 0.7, 0.7}, kGold);
        }
        break;
      case PartKind::kCan:
        Quad(b, cv::Scalar(176, 180, 182));
        Outline({b.x + 0.4, b.y + 0.4, b.width - 0.8, b.height - 0.8}, cv::Scalar(140, 144, 146));
        break;
    }
    Outline({b.x - 0.3, b.y - 0.3, b.width + 0.6, b.height + 0.6}, kSilk);
  }

  // Designators above the body, within the photo.
  void Label(const BoardPart& part) {
    const auto& b = part.box_mm;
    const Point left = photo_from_board_.Apply({view_.mirrored ? b.br().x : b.x, b.y - 0.5});
    const double size = std::clamp(std::min(b.width, b.height) * 0.1 + 0.28, 0.34, 0.6);
    const cv::Point at(static_cast<int>(std::lround(left.x)),
                       std::max(12, static_cast<int>(std::lround(left.y)) - 2));
    cv::putText(photo_, part.ref, at, cv::FONT_HERSHEY_SIMPLEX, size, kSilk, 1, cv::LINE_AA);
  }

  // What is printed or scratched on a board and warms nothing: texts, lines,
  // arrows of no meaning, a bar code.
  void PrintClutter() {
    Random random(s_.seed, "photo clutter");
    const auto place = [&] {
      return Point(random.Uniform(0, board_.width_mm), random.Uniform(0, board_.height_mm));
    };
    const double unit = view_.size_px.width / 1000.0;
    for (int n = 0; n < static_cast<int>(s_.photo_clutter); ++n) {
      const Point at = place();
      const int kind = random.Integer(0, 3);
      const cv::Scalar color = random.Chance(0.7) ? kSilk : copper_ * random.Uniform(0.5, 1.6);
      if (kind <= 1) {
        std::string text;
        for (int k = random.Integer(2, 9); k > 0; --k) {
          text += static_cast<char>('0' + random.Integer(0, 42));
        }
        cv::putText(photo_,
                    text,
                    Fixed(at) / (1 << kShift),
                    cv::FONT_HERSHEY_SIMPLEX,
                    unit * random.Uniform(0.3, 0.9),
                    color,
                    1,
                    cv::LINE_AA);
      } else if (kind == 2) {
        const double length = random.Uniform(1, 12);
        const double angle =
            random.Chance(0.7) ? CV_PI / 2 * random.Integer(0, 3) : random.Uniform(0, 2 * CV_PI);
        const Point end = at + length * Point(std::cos(angle), std::sin(angle));
        cv::line(photo_, Fixed(at), Fixed(end), color, random.Integer(1, 2), cv::LINE_AA, kShift);
      } else {
        const cv::Rect2d box(at.x, at.y, random.Uniform(0.6, 7), random.Uniform(0.6, 5));
        random.Chance(0.5) ? Outline(box, color) : Quad({at.x, at.y, 0.7, 0.7}, color);
      }
    }
  }

  const Board& board_;
  const Scenario& s_;
  const View& view_;
  PlaneMap photo_from_board_;
  cv::Mat photo_;
  cv::Scalar copper_;
};

}  // namespace

View PhotoView(const Board& board, const Scenario& s) {
  Random random(s.seed, "photo");
  View view;
  view.size_px = {static_cast<int>(s.photo_width_px), static_cast<int>(0.8 * s.photo_width_px)};
  view.center_mm = {board.width_mm * random.Uniform(0.49, 0.51),
                    board.height_mm * random.Uniform(0.49, 0.51)};
  view.mm_per_pixel = s.photo_margin * std::max(board.width_mm / view.size_px.width,
                                                board.height_mm / view.size_px.height);
  view.rotation_deg = random.Uniform(-2, 2) + s.photo_rotation_deg;
  view.tilt_deg = random.Uniform(1, 4) + s.photo_tilt_deg;
  view.tilt_direction_deg = random.Uniform(0, 360);
  view.fov_deg = 50;
  view.mirrored = !s.top();
  return view;
}

cv::Mat DrawPhoto(const Board& board, const Scenario& scenario, const View& view) {
  return AsTaken(PhotoPainter(board, scenario, view).Draw(), scenario);
}

Point PhotoPlace(const Scenario& scenario, const View& view, Point board_mm) {
  return Distorted(FrameFromBoard(view).Apply(board_mm), view.size_px, scenario.photo_distortion);
}

}  // namespace ohmglow::simulate
