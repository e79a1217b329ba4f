// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "surface.h"

#include <algorithm>
#include <cmath>

#include "random.h"

namespace ohmglow::simulate {
namespace {

// Emissivities in 8 to 14 um: common practice, no source.
constexpr float kMask = 0.94F;
constexpr float kMaskOnCopper = 0.915F;
constexpr float kShiny = 0.2F;
constexpr float kBench = 0.9F;

class Painter {
 public:
  /// @param reworked  index of the part that was worked on, or -1.
  Painter(const Board& board, const Scenario& s, int reworked, Surface& surface, Random& random)
      : board_(board), s_(s), reworked_(reworked), surface_(surface), random_(random) {}

  void Paint() {
    const cv::Size size(static_cast<int>((board_.width_mm + 2 * kMarginMm) / kFineMm),
                        static_cast<int>((board_.height_mm + 2 * kMarginMm) / kFineMm));
    surface_.emissivity = Image(size, kBench);
    surface_.warmth = Image::zeros(size);
    surface_.wire = Image::zeros(size);
    PaintMask();
    for (const auto& hole : board_.holes) Disc(hole.center_mm, hole.size_mm / 2, kShiny);
    for (const auto& hole : board_.holes) Disc(hole.center_mm, 1.6, kBench);
    for (const auto& pad : board_.pads) {
      if (pad.top == s_.top()) Box(Around(pad.center_mm, pad.size_mm), Shiny());
    }
    for (std::size_t i = 0; i < board_.parts.size(); ++i) {
      if (board_.parts[i].top == s_.top()) PaintPart(board_.parts[i]);
      if (static_cast<int>(i) == reworked_) Rework(board_.parts[i]);
    }
    Roughen();
  }

 private:
  static cv::Rect2d Around(Point center, double size) {
    return {center.x - size / 2, center.y - size / 2, size, size};
  }
  float Shiny() { return kShiny + static_cast<float>(random_.Uniform(-0.06, 0.06)); }

  void Box(const cv::Rect2d& box_mm, float value) {
    const Point a = FineFromBoard(box_mm.tl());
    const Point b = FineFromBoard(box_mm.br());
    const int x0 = static_cast<int>(std::ceil(a.x - 1e-6));
    const int y0 = static_cast<int>(std::ceil(a.y - 1e-6));
    const cv::Rect cells(x0,
                         y0,
                         std::max(1, static_cast<int>(std::ceil(b.x - 1e-6)) - x0),
                         std::max(1, static_cast<int>(std::ceil(b.y - 1e-6)) - y0));
    surface_.emissivity(cells & cv::Rect({}, surface_.emissivity.size())) = value;
  }

  void Disc(Point center_mm, double radius_mm, float value) {
    const Point c = FineFromBoard(center_mm);
    const double r = radius_mm / kFineMm;
    for (int y = static_cast<int>(c.y - r); y <= static_cast<int>(c.y + r) + 1; ++y) {
      for (int x = static_cast<int>(c.x - r); x <= static_cast<int>(c.x + r) + 1; ++x) {
        if (std::hypot(x - c.x, y - c.y) <= r) surface_.emissivity(y, x) = value;
      }
    }
  }

  void PaintMask() {
    const auto& copper = board_.copper[s_.top() ? 0 : 3];
    const int margin = static_cast<int>(kMarginMm / kFineMm);
    const int ratio = static_cast<int>(kCellMm / kFineMm);
    const Image waves = SmoothNoise(surface_.warmth.size(), 60, random_);
    for (int y = 0; y < copper.rows * ratio; ++y) {
      for (int x = 0; x < copper.cols * ratio; ++x) {
        const float share = copper(y / ratio, x / ratio);
        surface_.emissivity(y + margin, x + margin) = kMask + (kMaskOnCopper - kMask) * share;
        surface_.warmth(y + margin, x + margin) = 1 + 0.12F * waves(y + margin, x + margin);
      }
    }
  }

  // Soldered ends of a two-ended part, along its longer side.
  void Ends(const BoardPart& part, double share) {
    const auto& b = part.box_mm;
    if (b.width >= b.height) {
      Box({b.x, b.y, share * b.width, b.height}, Shiny());
      Box({b.x + (1 - share) * b.width, b.y, share * b.width, b.height}, Shiny());
    } else {
      Box({b.x, b.y, b.width, share * b.height}, Shiny());
      Box({b.x, b.y + (1 - share) * b.height, b.width, share * b.height}, Shiny());
    }
  }

  // Pins all around: half a millimetre long, every half millimetre.
  void Pins(const BoardPart& part) {
    const auto& b = part.box_mm;
    for (double x = b.x + 0.5; x < b.br().x - 0.5; x += 0.5) {
      Box({x, b.y, 0.25, 0.25}, Shiny());
      Box({x, b.br().y - 0.25, 0.25, 0.25}, Shiny());
    }
    for (double y = b.y + 0.5; y < b.br().y - 0.5; y += 0.5) {
      Box({b.x, y, 0.25, 0.25}, Shiny());
      Box({b.br().x - 0.25, y, 0.25, 0.25}, Shiny());
    }
  }

  void PaintPart(const BoardPart& part) {
    const auto& b = part.box_mm;
    const auto jitter = static_cast<float>(random_.Uniform(-0.015, 0.015));
    switch (part.kind) {
      case PartKind::kChip:
        Box(b, 0.91F + jitter);
        Ends(part, 0.25);
        break;
      case PartKind::kResistor:
        Box(b, 0.93F + jitter);
        Ends(part, 0.25);
        break;
      case PartKind::kCircuit:
        Box(b, 0.93F + jitter);
        Pins(part);
        break;
      case PartKind::kTransistor:
        Box(b, 0.93F + jitter);
        Box({b.x + 0.5, b.y, b.width - 1, 0.75}, Shiny());
        for (int k = 0; k < 4; ++k) {
          Box({b.x + 0.5 + 1.25 * k, b.br().y - 0.5, 0.5, 0.5}, Shiny());
        }
        break;
      case PartKind::kInductor:
        Box(b, 0.86F + jitter);
        break;
      case PartKind::kConnector:
        Box(b, 0.93F + jitter);
        for (double y = b.y + 1; y < b.br().y - 0.5; y += 2) {
          for (double x = b.x + 1; x < b.br().x - 0.5; x += 2) Box({x, y, 0.75, 0.75}, Shiny());
        }
        break;
      case PartKind::kCan:
        Box(b, 0.35F + jitter);
        break;
    }
  }

  // Fresh solder ends; over them another body, or none: the mask between bare pads.
  void Rework(const BoardPart& part) {
    if (part.top != s_.top()) return;
    Random anew(s_.capture_seed(), "rework");
    const double body = s_.fault_rework == "removed" ? kMask : anew.Uniform(0.88, 0.95);
    Box(part.box_mm, static_cast<float>(body));
    Ends(part, anew.Uniform(0.25, 0.35));
  }

  // Nothing is perfectly even: fine grain and slow waves.
  void Roughen() {
    const cv::Size size = surface_.emissivity.size();
    const Image fine = SmoothNoise(size, 3, random_);
    const Image slow = SmoothNoise(size, 40, random_);
    const Image grain = SmoothNoise(size, 8, random_);
    surface_.reflectivity_texture = Image(size);
    for (int y = 0; y < size.height; ++y) {
      for (int x = 0; x < size.width; ++x) {
        float& e = surface_.emissivity(y, x);
        e = std::clamp(e + 0.004F * fine(y, x) + 0.004F * slow(y, x), 0.05F, 0.98F);
        surface_.reflectivity_texture(y, x) = std::max(0.2F, 1 + 0.25F * grain(y, x));
      }
    }
  }

  const Board& board_;
  const Scenario& s_;
  int reworked_;
  Surface& surface_;
  Random& random_;
};

// From the contact over the nearest rim and on across the bench, with a bend.
std::vector<Point> WirePath(Point from, const Board& board, Random& random) {
  const double left = from.x;
  const double right = board.width_mm - from.x;
  const double up = from.y;
  const double down = board.height_mm - from.y;
  const double least = std::min({left, right, up, down});
  Point out;
  if (least == left) out = {-1, 0};
  if (least == right) out = {1, 0};
  if (least == up) out = {0, -1};
  if (least == down) out = {0, 1};
  const Point side(-out.y, out.x);
  const double bend = random.Uniform(-0.5, 0.5);
  return {from, from + out * 8 + side * (8 * bend), from + out * (least + 30) + side * (20 * bend)};
}

double DistanceToSegment(Point p, Point a, Point b) {
  const Point d = b - a;
  const double t = std::clamp((p - a).dot(d) / std::max(1e-9, d.dot(d)), 0.0, 1.0);
  const Point r = p - (a + d * t);
  return std::hypot(r.x, r.y);
}

void DrawWire(const std::vector<Point>& path, double width_mm, Image& cover) {
  for (int y = 0; y < cover.rows; ++y) {
    for (int x = 0; x < cover.cols; ++x) {
      const Point p((x + 0.5) * kFineMm - kMarginMm, (y + 0.5) * kFineMm - kMarginMm);
      double d = 1e9;
      for (std::size_t k = 1; k < path.size(); ++k) {
        d = std::min(d, DistanceToSegment(p, path[k - 1], path[k]));
      }
      const double share = std::clamp(0.5 + (width_mm / 2 - d) / kFineMm, 0.0, 1.0);
      cover(y, x) = std::max(cover(y, x), static_cast<float>(share));
    }
  }
}

}  // namespace

Image SmoothNoise(cv::Size size_px, double scale_px, Random& random) {
  const int cols = static_cast<int>(size_px.width / scale_px) + 4;
  const int rows = static_cast<int>(size_px.height / scale_px) + 4;
  Image coarse(rows, cols);
  for (float& v : coarse) v = static_cast<float>(random.Normal());
  Image out(size_px);
  const auto weights = [](double t, float* w) {  // Cubic B-spline: smooth, no overshoot.
    w[0] = static_cast<float>((1 - t) * (1 - t) * (1 - t) / 6);
    w[1] = static_cast<float>((3 * t * t * t - 6 * t * t + 4) / 6);
    w[2] = static_cast<float>((-3 * t * t * t + 3 * t * t + 3 * t + 1) / 6);
    w[3] = static_cast<float>(t * t * t / 6);
  };
  for (int y = 0; y < size_px.height; ++y) {
    float wy[4];
    const double v = y / scale_px;
    weights(v - std::floor(v), wy);
    for (int x = 0; x < size_px.width; ++x) {
      float wx[4];
      const double u = x / scale_px;
      weights(u - std::floor(u), wx);
      float sum = 0;
      for (int j = 0; j < 4; ++j) {
        for (int i = 0; i < 4; ++i) {
          sum += wy[j] * wx[i] * coarse(static_cast<int>(v) + j, static_cast<int>(u) + i);
        }
      }
      out(y, x) = 2 * sum;  // The spline halves the spread.
    }
  }
  return out;
}

Surface MakeSurface(const Board& board, const Scenario& s, const std::vector<HeatSource>& sources) {
  Surface surface;
  Random random(s.seed, "surface");
  const bool reworked = s.fault_rework != "none" && !sources.empty() && sources.front().is_fault;
  Painter(board, s, reworked ? sources.front().part : -1, surface, random).Paint();
  if (s.wires > 0) {
    for (const auto& source : sources) {
      if (source.kind != "contact" || source.top != s.top()) continue;
      surface.wire_paths_mm.push_back(WirePath(source.center_mm, board, random));
      DrawWire(surface.wire_paths_mm.back(), 1.6, surface.wire);
    }
  }
  return surface;
}

}  // namespace ohmglow::simulate
