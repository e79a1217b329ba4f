// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/power_map.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "base/median.h"
#include "base/quantile.h"
#include "heat/background_spectrum.h"
#include "heat/padded_plane.h"
#include "heat/power_kernel.h"
#include "heat/seen_blur.h"
#include "heat/seen_values.h"
#include "heat/source_pursuit.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Heat spreads this far while most captures last; what goes farther is in the
// background's low frequencies, which count for little.
constexpr double kPadMm = 24;
constexpr int kMostPadPx = 96;
constexpr double kFillBlurPx = 1.5;
// What stands out by more is kept from the measured background.
constexpr double kStandsOut = 4.5;
constexpr int kPursuitRounds = 2;
constexpr int kMostSources = 40;  // A round.
constexpr double kLeftByPursuit = 0.1;
constexpr double kQuietShare = 0.7;
constexpr double kQuietBlurPx = 2;
// The median of |z| of a standard normal distribution.
constexpr double kMedianOfNormal = 0.67449;
constexpr double kSigmasTo95 = 1.6449;
// How much signal-to-noise ratio sharpening may spend: of the strongest place
// this share is left, and no less than a place needs to be believed.
constexpr double kLeftShare = 0.25;
constexpr double kLeastLeft = 4;
constexpr int kFillRounds = 3;

Image Times(const Image& a, const Image& b) {
  Image product;
  cv::multiply(a, b, product);
  return product;
}

// Filters of one temporal mode.
struct Mode {
  Image near;  // one watt on the near face, units of the noise
  Image far;
  Image whiten;  // 1/sqrt of the background's spectrum
};

// Fills unseen pixels from their neighbours; far from any, zero.
Image Filled(const Image& values, const Mask& seen, const SeenBlur& blur) {
  Image out = values.clone();
  blur(values).copyTo(out, seen == 0);
  cv::patchNaNs(out, 0);
  return out;
}

class Filter {
 public:
  Filter(const Response& response,
         const PowerKernel& kernel,
         double mm_per_pixel,
         const PowerMapOptions& options);

  [[nodiscard]] PowerMap Make() const;

 private:
  void MeasureBackgrounds();
  [[nodiscard]] std::vector<Image> RestSpectra() const;
  [[nodiscard]] std::vector<Image> SeenSpectra(const std::vector<Image>& spectra) const;
  [[nodiscard]] Image Information(Image Mode::*side) const;
  [[nodiscard]] Amplitude Match(Image Mode::*side,
                                const Image& information,
                                const std::vector<Image>& seen_spectra) const;
  // What the filters of an unmeasured background answer with.
  struct Flat {
    Image near_information;
    Image far_information;
    Image near_near;
    Image near_far;
    Image far_far;
  };
  [[nodiscard]] std::vector<Image> FlatSeenSpectra() const;
  bool TakeOutSources(const Flat& flat);
  [[nodiscard]] double Spread(const Image& z) const;
  [[nodiscard]] Image Gain(Image Mode::*side, Image Mode::*other) const;
  [[nodiscard]] Image Sharpen(std::vector<Image> spectra, double snr, PowerMap& out) const;

  Mask seen_;
  Image seen_share_;  // plane: 1 where seen, else 0
  Image seen_spectrum_;
  Image noise_k_;
  double threshold_;
  double sharp_sigma_px_;
  PaddedPlane plane_;
  // One a mode, units of the noise: what was seen less the sources found, a
  // picture, unseen filled; and their spectrum.
  std::vector<Image> rest_;
  std::vector<Image> sources_;
  bool found_ = false;  // any
  std::vector<Mode> modes_;
};

int PadPx(double mm_per_pixel) {
  return std::min(kMostPadPx, static_cast<int>(std::ceil(kPadMm / mm_per_pixel)));
}

Filter::Filter(const Response& response,
               const PowerKernel& kernel,
               double mm_per_pixel,
               const PowerMapOptions& options)
    : seen_(response.seen),
      noise_k_(response.noise_k.clone()),
      threshold_(options.threshold),
      sharp_sigma_px_(options.sharp_mm / (2.3548 * mm_per_pixel)),
      plane_(response.seen.size(), PadPx(mm_per_pixel)) {
  const SeenBlur blur(seen_, kFillBlurPx);
  noise_k_.setTo(response.noise_median_k, seen_ == 0);
  seen_share_ = Image(plane_.size_px(), 0.0F);
  seen_share_(plane_.picture()).setTo(1, seen_);
  seen_spectrum_ = seen_share_.clone();
  PaddedPlane::Forward(seen_spectrum_);

  const Eigen::MatrixXf in_modes =
      (kernel.basis.transpose().cast<float>() * response.courses).transpose();
  const double per_m = 1e-3 * mm_per_pixel;  // Metres a pixel.
  for (Eigen::Index m = 0; m < in_modes.cols(); ++m) {
    Image picture(seen_.size());
    std::copy_n(in_modes.col(m).data(), in_modes.rows(), picture.ptr<float>());
    rest_.push_back(Filled(Image(picture / noise_k_), seen_, blur));
    sources_.emplace_back(plane_.size_px(), 0.0F);

    std::vector<float> near;
    std::vector<float> far;
    for (Eigen::Index i = 0; i < kernel.k_rad_m.size(); ++i) {
      const double size_m = std::hypot(options.blur_px * per_m, 1e-3 * options.source_mm);
      const double shape = std::exp(-0.5 * std::pow(size_m * kernel.k_rad_m(i), 2));
      const double per_pixel = shape / (per_m * per_m);
      near.push_back(static_cast<float>(per_pixel * kernel.near(m, i)));
      far.push_back(static_cast<float>(per_pixel * kernel.far(m, i)));
    }
    const double first_k = per_m * kernel.k_rad_m(0);
    const double last_k = per_m * kernel.k_rad_m(kernel.k_rad_m.size() - 1);
    modes_.push_back({plane_.Filter(near, first_k, last_k),
                      plane_.Filter(far, first_k, last_k),
                      Image(plane_.size_px(), 1.0F)});
    // What all pixels share was taken out of the courses.
    modes_.back().whiten(0, 0) = 0;
  }
  MeasureBackgrounds();
}

// The background over spatial frequency, mode by mode, small sources taken out.
void Filter::MeasureBackgrounds() {
  const Flat flat = {Information(&Mode::near),
                     Information(&Mode::far),
                     plane_.PointResponse(Gain(&Mode::near, &Mode::near)),
                     plane_.PointResponse(Gain(&Mode::near, &Mode::far)),
                     plane_.PointResponse(Gain(&Mode::far, &Mode::far))};
  for (int round = 0; round < kPursuitRounds && TakeOutSources(flat); ++round) {
  }
  const Image z(cv::abs(Match(&Mode::near, flat.near_information, FlatSeenSpectra()).z()));
  std::vector<float> sizes = SeenValues(z, seen_);
  if (sizes.empty()) throw DataError("no pixel was seen in all frames: hold still");
  const double usual = QuantileOf(sizes, kQuietShare);
  Image quiet(z.size(), 0.0F);
  quiet.setTo(1, (z <= std::max(kStandsOut, usual)) & (seen_ != 0));
  cv::erode(quiet, quiet, cv::Mat());
  cv::GaussianBlur(quiet, quiet, {}, kQuietBlurPx);
  for (std::size_t m = 0; m < modes_.size(); ++m) {
    modes_[m].whiten = MeasureBackground(rest_[m], quiet, plane_).Filter(plane_, -0.5);
    modes_[m].whiten(0, 0) = 0;
  }
}

// Matching pursuit (Mallat, Zhang, IEEE Trans. Signal Process. 41 (1993)
// 3397-3415) with near and far sources: the halo of a strong source reaches far
// and would be taken for background. False: none stands out.
bool Filter::TakeOutSources(const Flat& flat) {
  const std::vector<Image> seen = FlatSeenSpectra();
  SourcePursuit pursuit(Match(&Mode::near, flat.near_information, seen),
                        Match(&Mode::far, flat.far_information, seen),
                        seen_,
                        flat.near_near(0, 0),
                        flat.far_far(0, 0));
  Image near_sources(plane_.size_px(), 0.0F);
  Image far_sources(plane_.size_px(), 0.0F);
  // Down to what the border and a plate unlike the board's leave of the strongest.
  double least_z = kStandsOut;
  for (int i = 0; i < kMostSources; ++i) {
    const SourcePursuit::Source source = pursuit.Strongest(least_z);
    if (source.amplitude == 0) {
      if (i == 0) return false;
      break;
    }
    if (i == 0) least_z = std::max(least_z, kLeftByPursuit * source.z);
    pursuit.TakeOut(source,
                    source.near ? flat.near_near : flat.near_far,
                    source.near ? flat.near_far : flat.far_far);
    (source.near ? near_sources : far_sources)(source.at + plane_.picture().tl()) +=
        source.amplitude;
  }
  found_ = true;
  PaddedPlane::Forward(near_sources);
  PaddedPlane::Forward(far_sources);
  const SeenBlur blur(seen_, kFillBlurPx);
  for (std::size_t m = 0; m < modes_.size(); ++m) {
    Image made(near_sources.mul(modes_[m].near) + far_sources.mul(modes_[m].far));
    sources_[m] += made;
    PaddedPlane::Backward(made);
    rest_[m] = Filled(Image(rest_[m] - made(plane_.picture())), seen_, blur);
  }
  return true;
}

// Spread of a standardised map, 1 unless it is more than chance makes it.
double Filter::Spread(const Image& z) const {
  std::vector<float> sizes = SeenValues(Image(cv::abs(z)), seen_);
  const double spread = MedianOf(sizes) / kMedianOfNormal;
  // Independent values of a map of this spectrum; a median uses 37 % of them.
  const Image gain = Gain(&Mode::near, &Mode::near);
  const double mean = plane_.Mean(gain);
  const double independent =
      static_cast<double>(sizes.size()) * mean * mean / plane_.Mean(Times(gain, gain));
  return 1 + std::max(0.0, spread - 1 - 2 * 1.16 / std::sqrt(independent));
}

// SeenSpectra(RestSpectra()) while the filters whiten nothing but the mean.
std::vector<Image> Filter::FlatSeenSpectra() const {
  std::vector<Image> seen;
  for (const Image& rest : rest_) {
    const Image plane = plane_.Place(rest);
    seen.push_back(Times(Image(plane - cv::mean(plane)[0]), seen_share_));
    PaddedPlane::Forward(seen.back());
  }
  return seen;
}

// Whitened spectra of what is left, one a mode.
std::vector<Image> Filter::RestSpectra() const {
  std::vector<Image> spectra;
  for (std::size_t m = 0; m < modes_.size(); ++m) {
    Image plane = plane_.Place(rest_[m]);
    PaddedPlane::Forward(plane);
    spectra.push_back(Times(plane, modes_[m].whiten));
  }
  return spectra;
}

// Of whitened spectra, what was seen of their pictures.
std::vector<Image> Filter::SeenSpectra(const std::vector<Image>& spectra) const {
  std::vector<Image> seen;
  for (const Image& spectrum : spectra) {
    Image data = spectrum.clone();
    PaddedPlane::Backward(data);
    data = Times(data, seen_share_);
    PaddedPlane::Forward(data);
    seen.push_back(data);
  }
  return seen;
}

// Sum of a response's squares over the pixels that were seen, at each pixel.
Image Filter::Information(Image Mode::*side) const {
  Image energy(plane_.size_px(), 0.0F);
  for (const Mode& mode : modes_) {
    const Image response = plane_.PointResponse(Times(mode.*side, mode.whiten));
    energy += response.mul(response);
  }
  PaddedPlane::Forward(energy);
  // Correlation with an even function is convolution with it.
  Image information;
  cv::mulSpectrums(energy, seen_spectrum_, information, 0);
  PaddedPlane::Backward(information);
  return Image(cv::max(Image(information(plane_.picture())), 1e-12));
}

// Least squares at each pixel by itself over the pixels that were seen: sum of
// response x data over sum of response^2, both as correlations.
Amplitude Filter::Match(Image Mode::*side,
                        const Image& information,
                        const std::vector<Image>& seen_spectra) const {
  Image along(plane_.size_px(), 0.0F);
  for (std::size_t m = 0; m < modes_.size(); ++m) {
    along += seen_spectra[m].mul(Times(modes_[m].*side, modes_[m].whiten));
  }
  PaddedPlane::Backward(along);
  Amplitude out;
  out.information = information;
  cv::divide(along(plane_.picture()), information, out.value);
  return out;
}

// Signal of a watt over the noise, per frequency; of two sides their product.
Image Filter::Gain(Image Mode::*side, Image Mode::*other) const {
  Image gain(plane_.size_px(), 0.0F);
  for (const Mode& mode : modes_) {
    gain += Times(mode.*side, mode.whiten).mul(Times(mode.*other, mode.whiten));
  }
  return gain;
}

// The least damping of the Wiener estimate at which a source of signal-to-noise
// ratio `snr` keeps `left` of it.
double Damping(const Image& gain, const PaddedPlane& plane, double snr, double left) {
  const double mean = plane.Mean(gain);
  double low = 1e-9 * mean;  // In logarithms: nine decades are cut to a few per cent.
  double high = 1e3 * mean;
  for (int i = 0; i < 9; ++i) {
    const double middle = std::sqrt(low * high);
    const Image damped(1 / (gain + middle));
    const Image passed = Times(gain, damped);
    const double kept = plane.Mean(passed) / std::sqrt(plane.Mean(Times(passed, damped)) * mean);
    (snr * kept < left ? low : high) = middle;
  }
  return high;
}

// Wiener estimate; where nothing was seen, the pictures are filled from the
// estimate itself and it is made again (expectation-maximisation).
Image Filter::Sharpen(std::vector<Image> spectra, double snr, PowerMap& out) const {
  const Image gain = Gain(&Mode::near, &Mode::near);
  const double left = std::max(kLeastLeft, kLeftShare * snr);
  const Image damped(1 / (gain + Damping(gain, plane_, snr, left)));
  // No finer than is asked for: a part's body would fall apart into its edges.
  Image smooth;
  cv::multiply(plane_.k(), plane_.k(), smooth, -0.5 * sharp_sigma_px_ * sharp_sigma_px_);
  cv::exp(smooth, smooth);
  const Image passed = Times(Times(gain, damped), smooth);
  const double peak = plane_.Mean(passed);
  const Image unseen(1 - seen_share_);
  Image estimate;
  for (int round = 0;; ++round) {
    estimate = Image(plane_.size_px(), 0.0F);
    for (std::size_t m = 0; m < modes_.size(); ++m) {
      estimate += spectra[m].mul(Times(modes_[m].near, modes_[m].whiten));
    }
    estimate = Times(estimate, damped);
    if (round == kFillRounds) break;
    for (std::size_t m = 0; m < modes_.size(); ++m) {
      // Difference between estimate and data where nothing was seen.
      Image filled(estimate.mul(Times(modes_[m].near, modes_[m].whiten)) - spectra[m]);
      PaddedPlane::Backward(filled);
      filled = Times(filled, unseen);
      PaddedPlane::Forward(filled);
      spectra[m] += filled;
    }
  }
  estimate = Times(estimate, smooth);
  PaddedPlane::Backward(estimate);
  const Image noise = Times(Times(passed, damped), smooth);
  out.sharp_sigma_w = std::sqrt(plane_.Mean(noise)) / peak;
  return Image(Image(estimate(plane_.picture())) / peak);
}

PowerMap Filter::Make() const {
  PowerMap out;
  std::vector<Image> spectra = RestSpectra();
  const std::vector<Image> seen_rest = SeenSpectra(spectra);
  // Where nothing was seen, beyond the border too, the halo of what was goes on.
  for (std::size_t m = 0; m < modes_.size(); ++m) {
    spectra[m] += sources_[m].mul(modes_[m].whiten);
  }
  const std::vector<Image> seen = found_ ? SeenSpectra(spectra) : seen_rest;
  const Amplitude near = Match(&Mode::near, Information(&Mode::near), seen);
  const Amplitude far = Match(&Mode::far, Information(&Mode::far), seen);
  const Image near_z = near.z();
  const Image far_z = far.z();
  out.spread = Spread(Match(&Mode::near, near.information, seen_rest).z());

  const auto sigma = [&](const Amplitude& amplitude) {
    Image root;
    cv::sqrt(amplitude.information, root);
    return OnSeen(Image(noise_k_ * out.spread / root), seen_);
  };
  out.near_w = OnSeen(Times(near.value, noise_k_), seen_);
  out.far_w = OnSeen(Times(far.value, noise_k_), seen_);
  out.near_sigma_w = sigma(near);
  out.far_sigma_w = sigma(far);
  const Image near_part(cv::max(near_z, 0));
  const Image far_part(cv::max(far_z, 0));
  out.near_over_far = OnSeen(Image((near_part.mul(near_part) - far_part.mul(far_part)) *
                                   (0.5 / (out.spread * out.spread))),
                             seen_);
  // Whoever looks for the highest value around a place finds one that is higher
  // by 1/z on average (two degrees of freedom of the place).
  const double half = threshold_ - 1 / threshold_;
  out.limit_half_w = Image(half * out.near_sigma_w);
  out.limit_most_w = Image((half + kSigmasTo95) * out.near_sigma_w);

  double highest = 0;
  cv::minMaxLoc(near_z, nullptr, &highest, nullptr, nullptr, seen_);
  const double snr = std::max(highest / out.spread, threshold_);
  out.sharp_w = OnSeen(Times(Sharpen(spectra, snr, out), noise_k_), seen_);
  out.sharp_sigma_w *= out.spread * MedianSeen(noise_k_, seen_);
  return out;
}

}  // namespace

void PowerMapOptions::Validate() const {
  const auto require = [](bool holds, const char* name, double value, const char* rule) {
    if (!holds) {
      throw OptionError(std::string("power map: ") + name + " = " + std::to_string(value) +
                        " must be " + rule);
    }
  };
  require(blur_px >= 0 && std::isfinite(blur_px), "blur_px", blur_px, "0 or more");
  require(source_mm >= 0 && std::isfinite(source_mm), "source_mm", source_mm, "0 or more");
  require(feed.near_share >= 0 && feed.near_share <= 1, "near_share", feed.near_share, "0 .. 1");
  require(feed.part_lag_s >= 0 && std::isfinite(feed.part_lag_s),
          "part_lag_s",
          feed.part_lag_s,
          "0 or more");
  require(sharp_mm >= 0 && std::isfinite(sharp_mm), "sharp_mm", sharp_mm, "0 or more");
  require(threshold > 1 && std::isfinite(threshold), "threshold", threshold, "above 1");
}

PowerMap MakePowerMap(const Response& response,
                      const TemporalModel& model,
                      const Drive& drive,
                      const Plate& plate,
                      double mm_per_pixel,
                      const PowerMapOptions& options) {
  options.Validate();
  if (!(mm_per_pixel > 0)) {
    throw OptionError("power map: mm_per_pixel = " + std::to_string(mm_per_pixel) +
                      " must be above 0");
  }
  const cv::Size size = response.seen.size();
  const double per_pixel = 1e3 / mm_per_pixel;  // Pixels a metre.
  const double least_k =
      std::numbers::pi / std::max(size.width + kMostPadPx, size.height + kMostPadPx) * per_pixel;
  const double most_k = std::numbers::sqrt2 * std::numbers::pi * per_pixel;
  const PowerKernel kernel = MakePowerKernel(model, drive, plate, options.feed, least_k, most_k);
  return Filter(response, kernel, mm_per_pixel, options).Make();
}

}  // namespace ohmglow
