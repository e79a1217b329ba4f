// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>

#include "ohmglow/base/remark.h"

namespace ohmglow {

/// All that a stage can remark, advise or doubt, and the phrases within. The sentences
/// stand in src/words/report; a new one: here, in remark_kind.cc, in the catalogues.
enum class RemarkKind : unsigned short {
  kQuoted,  ///< Text that is nobody's to translate: a name, a user's own words.

  // What was measured of a place and speaks for or against it.
  kByItself,
  kSmoothCourse,
  kOddExponent,
  kLeadWire,
  kTrack,
  kBarelyStandsOut,
  kHardlyWarms,
  kHalo,
  kContactNear,
  kBeyondParts,
  kAtRim,
  kComeOutAside,
  kFromBelow,
  kUnlistedSource,
  kNoPart,
  kBesidePart,
  kPerhapsOnPart,
  kCarrier,
  kPerhapsCarrier,
  kOutOfRange,
  kGrowsSquare,
  kGrowsLinear,
  kGrowsOtherwise,
  kGrowthTooFaint,
  kFarWeaker,
  kMetalTop,
  kBoundByReadings,
  kBoundBySupply,
  kReadAsResistance,
  kReadAsDrop,
  kClipped,

  // Of captures of both sides.
  kFoundFromOtherSide,
  kOtherSideMissesIt,
  kThisSideMissesIt,
  kSeenFromBoth,
  kSideTop,
  kSideBottom,
  kMissingOnOtherSide,
  kStrongerOnOtherSide,
  kBothClaimIt,
  kNoneClaimsIt,
  kPowersDisagree,
  kOfPlace,

  // What to do next.
  kShowsFrom,
  kMoreCurrent,
  kPassedOver,
  kPassedOverRelative,
  kPassedOverUnlisted,
  kPassedOverUnlistedRelative,
  kClocksPerhapsUnmatched,
  kContactHidesFault,
  kTakeOffShields,
  kTakeOffShieldsMarkContacts,
  kLookAtPartNext,
  kLookAtSecondNext,
  kOnlyAHint,
  kCheckPolarity,
  kLevelMayBeMissing,
  kFilmOtherSide,
  kTurnBoard,
  kPartOpen,
  kTellApart,
  kTakePartOff,
  kTakeUnnamedOff,
  kNotInView,
  kFurtherFaultUnseen,
  kPartsOfList,
  kPartsOfListMore,
  kCautionRelative,
  kCautionHot,
  kCautionSupply,
  kWarmByItself,
  kWarmNoFault,
  kBothSaid,
  kNearPart,
  kAtBoard,
  kAtPixel,
  kAndMore,
  kJointShowsFrom,
  kJointMoreCurrent,
  kWorkThere,
  kSideStaysOpen,

  // What is odd about the supply, its times and its course.
  kLevelsHardlyTold,
  kLevelsNotSeen,
  kLevelsDoNotFit,
  kLevelWithoutTrace,
  kLevel,
  kSwitchingNotSeen,
  kViewCannotTell,
  kColumnsPerhapsSwapped,
  kForeignLog,
  kRivalClock,
  kSpansDiffer,
  kGuessedByDates,
  kGuessedByRate,
  kOnlyVoltsSetting,
  kLogWithoutVolts,
  kVoltsNotNoted,
  kCurrentsNotNoted,
  kCourse,
  kCourseCostsHeat,
  kCourseGoesSlowly,
  kCourseOnlyRises,
  kCourseWithoutRest,
  kShortHardlyTold,
  kShortNeedsHeat,
  kShortNeedsSomeHeat,
  kEndAtZero,
  kFilmLonger,
  kAlternateS,
  kAlternateMin,

  // Where things lie: scale, registration, photo, parts list.
  kScaleIsGuess,
  kWattsByGuess,
  kFrameMayBeOff,
  kNoTexture,
  kWeakTexture,
  kPhotoLaid,
  kPhotoNotLaid,
  kPartsLaidOnPhoto,
  kPartsLaidOnFrames,
  kPartsNotTied,
  kListPerhapsOther,
  kRegionsUntied,
  kFewLandmarks,
  kLandmarksUnchecked,
  kPhotoLandmarkLeftOut,
  kBoardLandmarkLeftOut,

  // Why a frame takes no part, and what happened at a frame.
  kFrameUnreadable,
  kFrameRepeats,
  kFrameFrozen,
  kFrameSaturated,
  kFrameLost,
  kFrameBlurred,
  kFrameCovered,
  kFramesMissing,
  kPictureStoodStill,
  kNoneRepeated,
  kWrittenOften,
  kThenStepped,
  kThenSteppedRelative,
  kCoveredWarmer,
  kCoveredColder,
  kCoveredWarmerRelative,
  kCoveredColderRelative,
  kStaysCovered,

  // What of a capture was lost or guessed, and what was told of its surfaces.
  kLogRowsLost,
  kPartRowsLost,
  kLogColumnsGuessed,
  kWattsByEmissivity,
  kSpan,
  kOneValue,
  kPlacesGiven,

  // What is wrong with a capture, and what the next one should do otherwise.
  kTooLittleTexture,
  kFramesMayBeOff,
  kFramesAreOff,
  kHoldStill,
  kManyLeftOut,
  kFilmAgainAtRest,
  kFramesLost,
  kFilmOnFreeMachine,
  kClockUnsure,
  kSwitchMoreOften,
  kMostOfSupply,
  kHoldLevelsLonger,
  kLeftTheRange,
  kWiderRange,
  kPhotoNotUsed,
  kPartsNotUsed,
  kPointsNotUsed,
  kContactsNotUsed,
  kNoSizesFound,
  kNameTheSizes,
  kPartsOutOfView,
  kShowWholeBoard,
  kAskForLog,

  // What a comparison of two captures means.
  kPlaceNamed,
  kPlaceNamedPart,
  kHeatGone,
  kHeatGoneNoneNew,
  kHeatGoneSameResistance,
  kMeasureBeforePower,
  kStillTakesPower,
  kAlsoLookAt,
  kTakesPowerNow,
  kWarmsAsBefore,
  kWarmsUnfilmedBefore,
  kNoneToCompare,
  kWrongOrderPlaces,
  kSecondMissesFault,
  kNeitherFaultNorNone,
  kRailTakesLess,
  kNeedsMoreCurrent,
  kNeedsMoreCurrentOrFrames,
  kWrongOrderResistance,
  kSameCaptureTwice,
  kOnlyRegionsCompared,
  kResistancesNotCompared,
  kLeadsInResistance,
  kNum,  ///< How many there are.
};

/// What a remark means for whoever lists it.
enum class RemarkNature : unsigned char {
  kPlain,
  kAgainst,     ///< Of a place: speaks against its being the fault.
  kUndermines,  ///< Makes the answer itself doubtful: goes first.
  kWarns,       ///< Advice with a limit that keeps board and people safe.
  kCaution,     ///< Nothing but a caution.
};

/// The word that a kind has in files: "by_itself".
[[nodiscard]] std::string_view KeyOf(RemarkKind kind);

/// The kind of such a word; empty where there is none.
[[nodiscard]] std::optional<RemarkKind> KindOf(std::string_view key);

[[nodiscard]] RemarkNature NatureOf(RemarkKind kind);

/// For a list of remarks: whether one is of a kind.
[[nodiscard]] inline auto IsOf(RemarkKind kind) {
  return [kind](const Remark& remark) { return remark.kind == kind; };
}

}  // namespace ohmglow
