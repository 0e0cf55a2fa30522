//! What can be wrong with the model of a 3MF package.

/// What is wrong with the model of a 3MF package.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ModelFault {
    /// No well-formed XML.
    #[error("the XML is damaged")]
    Xml,
    /// A document type, which could define text that swells without end.
    #[error("the XML has a document type, which a 3MF model must not have")]
    DocumentType,
    /// Elements within elements without end.
    #[error("the XML is nested more than {0} deep")]
    TooDeep(usize),
    /// Text in another encoding than UTF-8.
    #[error("the XML is not written in UTF-8")]
    Encoding,
    /// Text in UTF-16.
    #[error("the XML is written in UTF-16, and only UTF-8 is read")]
    Wide,
    /// The root is no 3MF model, or none of a known version.
    #[error("the XML is no 3MF model of a known version")]
    NoModel,
    /// The XML ends before the model does.
    #[error("the model is cut off")]
    Cut,
    /// A unit that is none of 3MF's.
    #[error("`{0}` is no unit of 3MF")]
    Unit(String),
    /// The model can't be understood without an extension that is not known here.
    #[error("the model needs the extension `{0}`, which is not read")]
    Extension(String),
    /// A part of the surface is described in a way that is not read.
    #[error("the shape is made with `{0}`, which is not read")]
    Shape(String),
    /// An attribute is missing.
    #[error("`{0}` is missing")]
    Missing(&'static str),
    /// An attribute that should be a number is none.
    #[error("`{name}` is no number: `{found}`")]
    Number {
        /// The attribute.
        name: &'static str,
        /// What stands there, shortened.
        found: String,
    },
    /// An element stands where it can't be.
    #[error("`{0}` stands in the wrong place")]
    Misplaced(&'static str),
    /// Two objects with one number.
    #[error("there is another object {0}")]
    Twice(u32),
    /// An object that is named but not there.
    #[error("object {0} is named, but not there")]
    NoObject(u32),
    /// An object that contains itself.
    #[error("object {0} is a component of itself")]
    Cycle(u32),
    /// Components within components without end.
    #[error("components are nested more than {0} deep")]
    ComponentsTooDeep(usize),
    /// An object that must not be built.
    #[error("object {0} is of the type `other`, which is never built")]
    NeverBuilt(u32),
    /// A placement that squeezes the object flat.
    #[error("the transform makes a body flat")]
    Flat,
    /// A placement in other numbers than the model's first part.
    #[error("its unit differs from that of the package's first model part")]
    OtherUnit,
    /// More placed objects or triangles than are believed.
    #[error(
        "the build has more than {triangles} triangles, their corners, or {placements} objects"
    )]
    TooMuch {
        /// The most triangles.
        triangles: u64,
        /// The most placements.
        placements: u64,
    },
}

impl ModelFault {
    pub(super) const fn hint(&self) -> &'static str {
        match self {
            Self::Xml | Self::Cut | Self::NoModel | Self::Missing(_) | Self::Number { .. } => {
                "copy, download or export it again"
            }
            Self::Extension(_) | Self::Shape(_) => {
                "export the shape as plain triangles, as 3MF without extensions or as binary STL"
            }
            Self::TooMuch { .. } => "export only the body that is to be cast",
            _ => "export it again, or as binary STL",
        }
    }
}
