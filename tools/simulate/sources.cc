// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "sources.h"

#include <algorithm>
#include <cmath>

#include "off_middle.h"
#include "ohmglow/base/error.h"
#include "random.h"

namespace ohmglow::simulate {
namespace {

double Distance(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

class SourceMaker {
 public:
  SourceMaker(const Scenario& s, const Board& board, const BoardStack& stack)
      : s_(s),
        board_(board),
        stack_(stack),
        random_(s.seed, "sources"),
        off_middle_(s.seed, "off middle") {}

  std::vector<HeatSource> Make() {
    Faults();
    Contacts();
    if (s_.track_w > 0) WarmTrack();
    if (s_.inductor_w > 0) Inductor();
    if (s_.standby_w > 0) Window("standby", s_.standby_w, s_.standby_onset_s, 1e9);
    if (s_.warm_w > 0) Window("warm_part", s_.warm_w, s_.warm_off_s - 30, s_.warm_off_s);
    Switched();
    if (s_.hand_k > 0) Hand();
    for (HeatSource& source : sources_) {
      if (source.when == HeatSource::When::kCurrent) source.power_w *= s_.power_scale;
    }
    return std::move(sources_);
  }

 private:
  // Shares of the body's cells within `core_mm` of the centre (a die is smaller than its mould).
  void FillCells(HeatSource& source, const cv::Rect2d& box, bool in_body) const {
    const int x0 = static_cast<int>(std::floor(box.x / kCellMm + 1e-6));
    const int y0 = static_cast<int>(std::floor(box.y / kCellMm + 1e-6));
    const int x1 = std::max(x0 + 1, static_cast<int>(std::ceil(box.br().x / kCellMm - 1e-6)));
    const int y1 = std::max(y0 + 1, static_cast<int>(std::ceil(box.br().y / kCellMm - 1e-6)));
    for (int y = std::max(y0, 0); y < std::min(y1, stack_.plate.ny); ++y) {
      for (int x = std::max(x0, 0); x < std::min(x1, stack_.plate.nx); ++x) {
        const int face = source.top ? stack_.top_face : stack_.bottom_face;
        source.cells.emplace_back(
            in_body ? stack_.Body(x, y, source.top) : stack_.plate.Index(x, y, face), 0);
      }
    }
    for (auto& [cell, share] : source.cells) share = 1.0 / static_cast<double>(source.cells.size());
  }

  HeatSource InPart(int index) const {
    const BoardPart& part = board_.parts[static_cast<std::size_t>(index)];
    HeatSource source;
    source.ref = part.ref;
    source.kind = KindName(part.kind);
    source.center_mm = part.center_mm();
    source.top = part.top;
    source.part = index;
    cv::Rect2d box = part.box_mm;
    if (part.kind == PartKind::kCircuit || part.kind == PartKind::kTransistor) {
      const double core = std::min(2.0, 0.5 * box.width);
      box = {source.center_mm.x - core / 2, source.center_mm.y - core / 2, core, core};
    }
    FillCells(source, box, true);
    return source;
  }

  // Gives the heat to one piece of the part's body: each cell by what it shares
  // with the piece, so that their middle is the piece's.
  void MoveOffMiddle(HeatSource& source) {
    const BoardPart& part = board_.parts[static_cast<std::size_t>(source.part)];
    const cv::Rect2d piece = HotPiece(part, s_.off_middle_share, off_middle_);
    source.center_mm = {piece.x + piece.width / 2, piece.y + piece.height / 2};
    source.cells.clear();
    const int x1 = std::min(stack_.plate.nx, static_cast<int>(std::ceil(piece.br().x / kCellMm)));
    const int y1 = std::min(stack_.plate.ny, static_cast<int>(std::ceil(piece.br().y / kCellMm)));
    for (int y = std::max(0, static_cast<int>(piece.y / kCellMm)); y < y1; ++y) {
      for (int x = std::max(0, static_cast<int>(piece.x / kCellMm)); x < x1; ++x) {
        const cv::Rect2d cell(x * kCellMm, y * kCellMm, kCellMm, kCellMm);
        const double share = (cell & piece).area() / piece.area();
        if (share > 1e-9) source.cells.emplace_back(stack_.Body(x, y, source.top), share);
      }
    }
  }

  bool Used(int index) const {
    return std::any_of(
        sources_.begin(), sources_.end(), [index](const auto& s) { return s.part == index; });
  }

  // A part drawn among those that `accept`; -1 where there is none.
  template <typename Accept>
  int DrawPart(const Accept& accept) {
    std::vector<int> all;
    for (int i = 0; i < static_cast<int>(board_.parts.size()); ++i) {
      if (!Used(i) && accept(board_.parts[static_cast<std::size_t>(i)])) all.push_back(i);
    }
    if (all.empty()) return -1;
    return all[static_cast<std::size_t>(random_.Integer(0, static_cast<int>(all.size()) - 1))];
  }

  bool Inside(Point p, double rim_mm) const {
    return p.x > rim_mm && p.y > rim_mm && p.x < board_.width_mm - rim_mm &&
           p.y < board_.height_mm - rim_mm;
  }

  static PartKind KindOf(const std::string& word) {
    if (word == "circuit") return PartKind::kCircuit;
    return word == "transistor" ? PartKind::kTransistor : PartKind::kChip;
  }

  // How far a second fault may be, to be in the picture too.
  double Reach() const {
    return std::max(12.0, 0.4 * std::min(s_.width_px, s_.height_px) * s_.mm_per_pixel);
  }

  int DrawFaultPart(int number) {
    const bool top = (s_.fault_side == "near") == s_.described_top();
    if (number == 0 && s_.fault_neighbor_mm > 0) {
      const bool placed = !board_.parts.empty() && board_.parts[0].kind == PartKind::kChip;
      return placed ? 0 : -1;  // The pair is placed first or not at all.
    }
    if (number > 0) {
      return DrawPart([&](const BoardPart& part) {
        const double d = Distance(part.center_mm(), sources_[0].center_mm);
        return part.top == top && part.kind <= PartKind::kTransistor && d > 6 && d < Reach();
      });
    }
    const PartKind kind = KindOf(s_.fault_part);
    const int part = DrawPart([&](const BoardPart& p) {
      return p.top == top && p.kind == kind && Inside(p.center_mm(), 4);
    });
    if (part >= 0) return part;
    return DrawPart([&](const BoardPart& p) { return p.top == top && p.kind == PartKind::kChip; });
  }

  void Faults() {
    for (int k = 0; k < static_cast<int>(s_.fault_count); ++k) {
      const int part = DrawFaultPart(k);
      if (part < 0) {
        throw DataError("fault.part: the board has no such part where fault " +
                        std::to_string(k + 1) + " is wanted; raise parts.chips or " +
                        "parts.bottom_share, or take another seed");
      }
      HeatSource fault = InPart(part);
      if (s_.off_middle_share > 0) MoveOffMiddle(fault);
      fault.power_w = s_.fault_power_w * (k == 0 ? s_.first_ratio : s_.second_ratio);
      fault.exponent = k == 0 ? s_.fault_exponent : 2;
      fault.is_fault = true;
      fault.lane = k + 1;
      sources_.push_back(std::move(fault));
    }
  }

  bool FarFromFaults(Point p, double mm) const {
    return std::all_of(sources_.begin(), sources_.end(), [&](const auto& source) {
      return !source.is_fault || Distance(source.center_mm, p) > mm;
    });
  }

  // Leads are clipped to shiny places on the side described.
  void Contacts() {
    std::vector<Pad> places;
    for (const auto& pad : board_.pads) {
      if (pad.top == s_.described_top() && FarFromFaults(pad.center_mm, 6)) places.push_back(pad);
    }
    for (int k = 0; k < static_cast<int>(s_.contacts) && !places.empty(); ++k) {
      const auto pick = random_.Integer(0, static_cast<int>(places.size()) - 1);
      const Pad pad = places[static_cast<std::size_t>(pick)];
      places.erase(places.begin() + pick);
      HeatSource contact;
      contact.ref = "PC" + std::to_string(k + 1);
      contact.kind = "contact";
      contact.center_mm = pad.center_mm;
      contact.top = s_.described_top();
      contact.power_w = s_.contact_w * std::pow(3.0, random_.Uniform(-0.5, 0.5));
      const double half = pad.size_mm / 2;
      FillCells(contact,
                {pad.center_mm.x - half, pad.center_mm.y - half, pad.size_mm, pad.size_mm},
                false);
      sources_.push_back(std::move(contact));
    }
  }

  void WarmTrack() {
    const int layer = s_.described_top() ? 0 : 3;
    for (const auto& track : board_.tracks) {
      const Point center(track.box_mm.x + track.box_mm.width / 2,
                         track.box_mm.y + track.box_mm.height / 2);
      if (track.layer != layer || !FarFromFaults(center, 8)) continue;
      HeatSource source;
      source.ref = "TRK1";
      source.kind = "track";
      source.center_mm = center;
      source.top = s_.described_top();
      source.power_w = s_.track_w;
      FillCells(source, track.box_mm, false);
      sources_.push_back(std::move(source));
      return;
    }
  }

  void Inductor() {
    const int part = DrawPart([](const BoardPart& p) { return p.kind == PartKind::kInductor; });
    if (part < 0) return;
    HeatSource source = InPart(part);
    source.power_w = s_.inductor_w;
    sources_.push_back(std::move(source));
  }

  // A part that is warm whatever the supply does.
  void Window(const char* kind, double power_w, double begin_s, double end_s) {
    const int part = DrawPart([&](const BoardPart& p) {
      return p.top == s_.described_top() && p.kind <= PartKind::kInductor &&
             FarFromFaults(p.center_mm(), 6);
    });
    if (part < 0) return;
    HeatSource source = InPart(part);
    source.kind = kind;
    source.when = HeatSource::When::kWindow;
    source.power_w = power_w;
    source.begin_s = begin_s;
    source.end_s = end_s;
    sources_.push_back(std::move(source));
  }

  // Parts that something else than the bench supply turns on or off, once each.
  void Switched() {
    Random random(s_.seed, "switched");
    for (int k = 0; k < static_cast<int>(s_.switched); ++k) {
      const double power_w = s_.switched_w * std::pow(3.0, random.Uniform(-0.5, 0.5));
      const double at_s = s_.seconds * random.Uniform(0.1, 0.9);
      if (random.Chance(0.7)) {
        Window("switched", power_w, at_s, 1e9);
      } else {
        Window("switched", power_w, at_s - 60, at_s);
      }
    }
  }

  // Warms the surface that faces the camera, about hand_k where it is nearest.
  void Hand() {
    HeatSource source;
    source.ref = "hand";
    source.kind = "hand";
    source.when = HeatSource::When::kWindow;
    source.top = s_.top();
    source.center_mm = random_.Chance(0.5) ? Point(random_.Uniform(0, board_.width_mm),
                                                   s_.top() ? board_.height_mm : 0)
                                           : Point(0, random_.Uniform(0, board_.height_mm));
    source.begin_s = s_.hand_begin_s;
    source.end_s = s_.hand_begin_s + s_.hand_hold_s;
    double sum = 0;
    for (int y = 0; y < stack_.plate.ny; ++y) {
      for (int x = 0; x < stack_.plate.nx; ++x) {
        const double d = Distance(source.center_mm, {(x + 0.5) * kCellMm, (y + 0.5) * kCellMm});
        const double weight = std::exp(-0.5 * d * d / (s_.hand_sigma_mm * s_.hand_sigma_mm));
        if (weight < 1e-4) continue;
        source.cells.emplace_back(stack_.Visible(x, y, s_.top()), weight);
        sum += weight;
      }
    }
    for (auto& [cell, share] : source.cells) share /= sum;
    const double area_m2 = sum * 1e-6 * kCellMm * kCellMm;
    source.power_w = s_.hand_k * stack_.capacity_j_m2k * area_m2 / std::max(1.0, s_.hand_hold_s);
    sources_.push_back(std::move(source));
  }

  const Scenario& s_;
  const Board& board_;
  const BoardStack& stack_;
  Random random_;
  Random off_middle_;
  std::vector<HeatSource> sources_;
};

}  // namespace

double HeatSource::Power(const Drive& drive, double time_s) const {
  if (when == When::kWindow) return time_s >= begin_s && time_s < end_s ? power_w : 0;
  const double amps = drive.Amps(time_s);
  return amps > 0 ? power_w * std::pow(amps / drive.top_amps, exponent) : 0;
}

std::vector<HeatSource> MakeSources(const Scenario& scenario,
                                    const Board& board,
                                    const BoardStack& stack) {
  return SourceMaker(scenario, board, stack).Make();
}

std::pair<double, double> RailLoad(const std::vector<HeatSource>& sources, const Drive& drive) {
  double ohm = 0;
  double volts = 0;
  for (const auto& source : sources) {
    if (source.when != HeatSource::When::kCurrent) continue;
    if (source.exponent < 1.5) {
      volts += source.power_w / drive.top_amps;
    } else {
      ohm += source.power_w / (drive.top_amps * drive.top_amps);
    }
  }
  return {ohm, volts};
}

}  // namespace ohmglow::simulate
